// What the panel knows of the contract by heart, held to the contract and to the
// packs' own texts.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { build } from "esbuild";
import { join } from "node:path";
import { Service } from "./service.mjs";

const load = async (file) => {
  const { outputFiles } = await build({
    entryPoints: [join(import.meta.dirname, "../panel/src", file)],
    bundle: true,
    format: "esm",
    write: false,
  });
  return import(`data:text/javascript;base64,${Buffer.from(outputFiles[0].text).toString("base64")}`);
};

let service;
before(async () => (service = await Service.start()));
after(() => service?.stop());

test("fields are asked for as what they are, with their unit", async () => {
  const { fieldAt } = await load("path.ts");
  for (const [path, kind, unit, name] of [
    ["items[3].part.air_cooler.height_mm", "number", "mm", "height"],
    ["items[2].part.processor.demand.sustained_w", "number", "W", "sustained"],
    ["items[2].part.processor.demand.excursions", "structure", "", "excursions"],
    ["items[0].part.chassis.layouts[0].limits.radiators[1].nominal_mm", "structure", "mm", "nominal"],
    ["items[0].part.liquid_loop.radiator.nominal_mm", "number", "mm", "nominal"],
    ["items[1].part.board.socket", "word", "", "socket"],
    ["items[4].part.card.blower", "truth", "", "blower"],
    ["items[4].part.card.slots", "number", "", "slots"],
    ["items[1].part.cooler.resistances[0].resistance_k_per_w", "number", "K/W", "resistance"],
    ["room.noise_floor_dba", "number", "dB(A)", "noise floor"],
  ])
    assert.deepEqual(fieldAt(path), { kind, unit, name }, path);
});

test("German templates hold only what the messages bring", async () => {
  const { german } = await load("german.ts");
  const { packs } = await (await fetch(`${service.url}/v1/packs`)).json();
  const templates = new Map();
  for (const rule of packs.flatMap((p) => p.rules ?? [])) {
    const answer = await (await fetch(`${service.url}/v1/rules/${rule}`)).json();
    for (const t of answer.rule.templates ?? []) templates.set(t.key, t.text);
  }
  const names = (text) => [...text.matchAll(/\{(\w+)\}/g)].map((m) => m[1]);
  const wrong = [];
  for (const [key, text] of Object.entries(german)) {
    if (!/^(clearance|interface|mounting|power|thermal)\./.test(key)) continue;
    if (!templates.has(key)) wrong.push(`${key} is no key of the service`);
    else
      for (const name of names(text))
        if (!names(templates.get(key)).includes(name))
          wrong.push(`${key}: {${name}} is not in "${templates.get(key)}"`);
  }
  assert.deepEqual(wrong, []);
});

test("both languages say the same things", async () => {
  const { Words } = await load("words.ts");
  const { german } = await load("german.ts");
  const english = new Words("en");
  for (const key of Object.keys(german).filter(
    (k) =>
      !k.includes("-") &&
      /^[a-z]+(\.[a-z0-9]+)?$/.test(k) &&
      !/^(clearance|interface|mounting|power|thermal)\./.test(k),
  )) {
    const names = (text) => [...text.matchAll(/\{(\w+)\}/g)].map((m) => m[1]).sort();
    const said = english.say(key, new Proxy({}, { get: (_, name) => `{${String(name)}}` }));
    if (said !== key) assert.deepEqual(names(german[key]), names(said), key);
  }
});
