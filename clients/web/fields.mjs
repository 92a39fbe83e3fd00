// Writes panel/src/fields.ts: which values of a build are numbers, yes or no, or
// words, from the contract. "--check" compares instead.
import { readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { ScalarType } from "@bufbuild/protobuf";
import { BuildSchema } from "./client/out/src/index.js";

const file = join(import.meta.dirname, "panel/src/fields.ts");
const unit = /_(k_per_w|w_per_k|per_kwh|mm2?|cm2|[mgwvacknl]|dba|rpm|m3h|pa|lpm|gb|mts|gbs|us|ms|hz|nm|share|minutes)$/;
// What no rule asks for value by value: boxes, holes, joints, boxes' contents, choices.
const beyond = new Set([
  "bodies",
  "holes",
  "figures",
  "calibration",
  "arrangement",
  "price",
  "kit",
  "joints",
  "mounts",
  "accessories",
]);

const kinds = new Map(); // kind by "holder.name", and by name
const walk = (message, holder, above) => {
  for (const field of message.fields) {
    if (beyond.has(field.name)) continue;
    const kind =
      field.fieldKind !== "scalar"
        ? "structure"
        : field.scalar === ScalarType.BOOL
          ? "truth"
          : field.scalar === ScalarType.STRING
            ? "word"
            : "number";
    for (const key of [field.name, `${holder}.${field.name}`]) kinds.set(key, (kinds.get(key) ?? new Set()).add(kind));
    if (field.message && !above.includes(field.message.typeName))
      walk(field.message, field.name, [...above, field.message.typeName]);
  }
};
walk(BuildSchema, "build", []);

const lists = { number: [], truth: [], word: [], structure: [] };
for (const [key, set] of [...kinds].sort()) {
  const name = key.split(".").at(-1);
  const alone = !key.includes(".");
  if (alone !== (kinds.get(name).size === 1)) continue; // a name that is several things is told by its holder
  for (const kind of set) if (kind !== (unit.test(name) ? "number" : "structure")) lists[kind].push(key);
}

const text = `// Written by fields.mjs from the contract. A name that is several things stands with
// what holds it. Names with a unit are numbers, others structures, unless they stand here.

// prettier-ignore
export const kinds: Record<"number" | "truth" | "word" | "structure", string> = {
${Object.entries(lists)
  .map(([kind, names]) => `  ${kind}: "${names.join(" ")}",`)
  .join("\n")}
};
`;
if (!process.argv.includes("--check")) await writeFile(file, text);
else if ((await readFile(file, "utf8")) !== text) {
  console.error("panel/src/fields.ts is stale: run npm run fields in clients/web.");
  process.exitCode = 1;
}
