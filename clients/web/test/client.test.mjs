// The TypeScript client against the real service, and against services that are
// away, full, or slow.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { create, fromJson } from "@bufbuild/protobuf";
import { DurationSchema } from "@bufbuild/protobuf/wkt";
import { BinaryWriter, WireType } from "@bufbuild/protobuf/wire";
import { Code, ConnectError, createRouterTransport } from "@connectrpc/connect";
import { toBinary } from "@bufbuild/protobuf";
import {
  Basket,
  BuildSchema,
  CheckRequestSchema,
  CheckService,
  connect,
  Verdict,
  violationsOf,
} from "../client/out/src/index.js";
import { retrying } from "../client/out/src/retry.js";
import { Service } from "./service.mjs";

let service;
let build;
before(async () => {
  service = await Service.start();
  build = fromJson(BuildSchema, await service.demo("archive-overreach"));
});
after(() => service?.stop());

describe("against the real service", () => {
  test("a check answers with findings and the facts that were wanted", async () => {
    const answer = await connect({ baseUrl: service.url }).check({ build, wants: ["clearance.ranking"] });
    assert.equal(answer.verdict, Verdict.FAIL);
    assert.ok(answer.findings.some((f) => f.rule === "clearance.card-length" && f.summary?.text?.includes("340 mm")));
    assert.equal(answer.facts[0]?.content.case, "ranking");
    const json = await service.check(await service.demo("archive-overreach"));
    assert.equal(answer.ruleset?.digest, json.ruleset.digest, "as over JSON");
    assert.equal(answer.findings.length, json.findings.length);
  });

  test("a shortlist, a sheet, the packs, and a rule", async () => {
    const client = connect({ baseUrl: service.url, deadlineMs: 20_000 });
    const cooler = build.items.find((i) => i.id === "cooler").part;
    const list = await client.shortlist({ plan: { build, item: "cooler", rejected: true }, candidates: [cooler] });
    assert.equal(list.fitting.length + list.rejected.length, 1);
    assert.match((await client.makeSheet({ check: { build } })).html, /^<!doctype html>/i);
    assert.ok((await client.listPacks({})).packs.some((p) => p.name === "clearance"));
    assert.match((await client.describeRule({ rule: "clearance.cooler-height" })).rule.why, /panel/);
  });

  test("a bad document is refused at once, with paths", async () => {
    const bad = create(CheckRequestSchema, {
      build: { items: [{ id: "fan", part: { kind: { case: "fan", value: { sizeMm: 1 } } } }] },
    });
    const error = await connect({ baseUrl: service.url })
      .check(bad)
      .then(assert.fail, (e) => e);
    assert.equal(ConnectError.from(error).code, Code.InvalidArgument);
    assert.ok(
      violationsOf(error).some((v) => v.path === "build.items[0].part.fan.size_mm" && v.reason.length > 5),
      JSON.stringify(violationsOf(error)),
    );
  });

  test("a service that is not there is unavailable, and one that comes back answers", async () => {
    const other = await Service.start();
    await other.stop();
    const client = connect({ baseUrl: other.url, tries: 12, deadlineMs: 15_000 });
    const asked = client.check({ build });
    await other.again();
    try {
      assert.equal((await asked).verdict, Verdict.FAIL);
    } finally {
      await other.stop();
    }
    const error = await connect({ baseUrl: other.url, tries: 2 })
      .check({ build })
      .then(assert.fail, (e) => e);
    assert.equal(ConnectError.from(error).code, Code.Unavailable);
  });

  test("a basket asks about its newest state alone", async () => {
    const answers = [];
    const basket = new Basket(connect({ baseUrl: service.url }), {
      onAnswer: (answer, question) => answers.push([answer.buildId, question.build.id]),
    });
    for (const id of ["one", "two", "three"]) basket.set({ build: { ...build, id } });
    while (!answers.length) await new Promise((done) => setTimeout(done, 5));
    basket.set({ build: { ...build, id: "four" } });
    while (answers.length < 2) await new Promise((done) => setTimeout(done, 5));
    assert.deepEqual(answers, [
      ["three", "three"],
      ["four", "four"],
    ]);
    basket.close();
  });
});

/** A client whose service is a function. */
const faked = (check, tries = 3, options = {}) =>
  connect({
    baseUrl: "",
    transport: createRouterTransport(({ service: serve }) => serve(CheckService, { check }), {
      transport: { interceptors: [retrying(tries)] },
    }),
    ...options,
  });

describe("asking again", () => {
  test("only where the service did not take the question on", async () => {
    for (const [code, expected] of [
      [Code.Unavailable, 3],
      [Code.ResourceExhausted, 3],
      [Code.InvalidArgument, 1],
      [Code.DeadlineExceeded, 1],
      [Code.Internal, 1],
      [Code.PermissionDenied, 1],
    ]) {
      let made = 0;
      const error = await faked(() => {
        made++;
        throw new ConnectError("no", code);
      })
        .check({ build })
        .then(assert.fail, (e) => e);
      assert.equal(ConnectError.from(error).code, code);
      assert.equal(made, expected, Code[code]);
    }
  });

  test("no sooner than the service asks for", async () => {
    const delay = toBinary(DurationSchema, create(DurationSchema, { seconds: 0n, nanos: 250_000_000 }));
    const value = new BinaryWriter().tag(1, WireType.LengthDelimited).bytes(delay).finish();
    let made = 0;
    const from = performance.now();
    const answer = await faked(() => {
      if (made++ > 0) return { verdict: Verdict.PASS };
      const error = new ConnectError("full", Code.ResourceExhausted);
      error.details.push({ type: "google.rpc.RetryInfo", value });
      throw error;
    }).check({ build });
    assert.equal(answer.verdict, Verdict.PASS);
    assert.ok(performance.now() - from >= 249);
  });

  test("never after the caller has given up", async () => {
    const way = new AbortController();
    let made = 0;
    const asked = faked(() => {
      made++;
      throw new ConnectError("away", Code.Unavailable);
    }, 50).check({ build }, { signal: way.signal });
    setTimeout(() => way.abort(), 60);
    await assert.rejects(asked);
    const then = made;
    await new Promise((done) => setTimeout(done, 300));
    assert.equal(made, then);
  });
});

test("a basket ends the older question, and tells nothing after it is closed", async () => {
  const ended = [];
  const told = [];
  const slow = async (request, context) => {
    const end = () => ended.push(request.build.id);
    context.signal.addEventListener("abort", end);
    await new Promise((done) => setTimeout(done, 150));
    context.signal.removeEventListener("abort", end);
    return { buildId: request.build.id };
  };
  const basket = new Basket(faked(slow), {
    quietMs: 5,
    onAnswer: (a) => told.push(a.buildId),
    onError: (e) => told.push(e.message),
  });
  basket.set({ build: { id: "older" } });
  await new Promise((done) => setTimeout(done, 40));
  basket.set({ build: { id: "newer" } });
  await new Promise((done) => setTimeout(done, 350));
  assert.deepEqual([ended, told], [["older"], ["newer"]]);
  basket.set({ build: { id: "last" } });
  await new Promise((done) => setTimeout(done, 40));
  basket.close();
  await new Promise((done) => setTimeout(done, 250));
  assert.deepEqual(told, ["newer"]);
});
