// What the panel knows of the contract by heart, held to the contract and to the
// packs' own texts.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { build } from "esbuild";
import { join } from "node:path";
import { Service } from "./service.mjs";

const source = join(import.meta.dirname, "../panel/src");
const bundled = async (options) => {
  const { outputFiles } = await build({ ...options, bundle: true, format: "esm", write: false });
  return import(`data:text/javascript;base64,${Buffer.from(outputFiles[0].text).toString("base64")}`);
};
const load = (file) => bundled({ entryPoints: [join(source, file)] });

/** speak gives Words in German. */
async function speak() {
  const contents = `export { Words } from "./words.ts"; export { addLanguage } from "./languages.ts"; export { texts } from "./german/index.ts";`;
  const { Words, addLanguage, texts } = await bundled({ stdin: { contents, resolveDir: source, loader: "ts" } });
  addLanguage("de", texts);
  return new Words("de-DE");
}

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

/** judging are the packs whose findings the panel shows; the audit's are about single parts, for operators. */
const judging = ["clearance", "interface", "mounting", "power", "thermal"];
const judged = new RegExp(`^(${judging.join("|")})\\.`);
const names = (text) => [...text.matchAll(/\{#?(\w+)\}/g)].map((m) => m[1]).sort();

/** templates are the texts of the packs' messages by their keys. */
async function templates() {
  const { packs } = await (await fetch(`${service.url}/v1/packs`)).json();
  assert.deepEqual(
    packs
      .map((p) => p.name)
      .filter((name) => judging.includes(name))
      .sort(),
    judging,
  );
  const rules = packs.filter((p) => judging.includes(p.name)).flatMap((p) => p.rules);
  const told = await Promise.all(rules.map(async (rule) => (await fetch(`${service.url}/v1/rules/${rule}`)).json()));
  return new Map(
    told.flatMap(({ rule }) => [
      ...(rule.templates ?? []).map((t) => [t.key, t.text]),
      [`${rule.id}.formula`, rule.formula],
    ]),
  );
}

test("every message of every rule has a German text, which holds only what the message brings", async () => {
  const { texts: german } = await load("german/index.ts");
  const english = await templates();
  assert.ok(english.size > 700, `${english.size} messages`);
  const wrong = [];
  for (const [key, text] of english) {
    if (!german[key]) wrong.push(`${key} has no German text: "${text}"`);
    else
      for (const name of names(german[key]))
        if (!names(text).includes(name)) wrong.push(`${key}: {${name}} is not in "${text}"`);
  }
  for (const key of Object.keys(german))
    if (judged.test(key) && !english.has(key)) wrong.push(`${key} is no key of the service`);
  assert.deepEqual(wrong, []);
});

test("a German text leaves no figure of its message out", async () => {
  const { texts: german } = await load("german/index.ts");
  const lost = [];
  for (const [key, text] of await templates())
    for (const name of names(text)) if (!names(german[key] ?? "").includes(name)) lost.push(`${key} ${name}`);
  assert.deepEqual(lost, []);
});

test("what rules put into their messages as a word is German too, and names stay as they are", async () => {
  const german = await speak();
  const dockets = await (await fetch(`${service.url}/demo/builds.json`)).json();
  const strange = new Set();
  for (const { build } of dockets) {
    const document = JSON.stringify(build);
    const titles = build.items.flatMap(({ part }) => part.chassis?.layouts ?? []).map((l) => l.title ?? l.id);
    for (const { part } of build.items) assert.equal(german.phrase(part.name), part.name);
    const { findings } = await service.check(build);
    for (const standing of new Set(findings.flatMap((f) => f.sources ?? []).map((q) => q.standing)))
      assert.notEqual(german.phrase(standing), standing);
    const said = findings.flatMap((f) => [f.summary, f.caution, ...(f.remedies ?? []).map((r) => r.action)]);
    for (const { key, arguments: values = [] } of said.filter(Boolean))
      for (const { name, value } of values) {
        const word = value?.word ?? "";
        // Names and ids are the document's; paths, links, rails and sizes are written alike in both languages.
        if (document.includes(JSON.stringify(word).slice(1, -1)) || name === "missing") continue;
        if (/^(Gen \d x\d+|SATA|[\d.]+ V|[a-z0-9.-]+(, [a-z0-9.-]+)*|[\d.]+|12V-2x6)$/.test(word)) continue;
        if (name === "others") continue; // layouts, by their titles
        const text = german.phrase(word);
        const own = titles.reduce((rest, title) => rest.replaceAll(title, ""), text);
        if (text === word || /\b(the|of|or|with|from|by|on|where|thinner|lower)\b/.test(own))
          strange.add(`${key}: ${word} -> ${text}`);
      }
  }
  assert.deepEqual([...strange], []);
});

test("German figures have a decimal comma, also within words", async () => {
  const german = await speak();
  assert.equal(german.number(339.5), "339,5");
  assert.equal(german.number(-0.125, true), "−0,13");
  assert.equal(german.phrase("Lichtung 18 (10.9 l by its outside)"), "Lichtung 18 (10,9 l nach Außenmaßen)");
  assert.equal(
    german.phrase("Everything fits with Gischt 220 lower by 2.5 mm or Warte 118 narrower by 2 mm"),
    "Alles passt mit: Gischt 220 um 2,5 mm niedriger oder Warte 118 um 2 mm schmaler",
  );
  assert.equal(german.phrase("1.20"), "1.20", "a version is no figure");
  const long = "a on b or c, ".repeat(1000);
  assert.equal(german.phrase(long), long, "what no rule writes is left alone");
});

test("both languages say the same things", async () => {
  const { Words } = await load("words.ts");
  const { panel: german } = await load("german/panel.ts");
  const english = new Words("en");
  // English says what the contract calls a field; German has words of its own for those.
  for (const key of Object.keys(german)) {
    const said = english.say(key, new Proxy({}, { get: (_, name) => `{${String(name)}}` }));
    if (said !== key) assert.deepEqual(names(german[key]), names(said), key);
  }
  const { english: own } = await load("english.ts");
  assert.deepEqual(
    Object.keys(own).filter((key) => !german[key]),
    [],
    "without a German text",
  );
});
