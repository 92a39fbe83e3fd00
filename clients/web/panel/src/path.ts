// Paths in a document, as "items[2].part.fan.size_mm".

import type { Build } from "./answer.js";
import { kinds } from "./fields.js";

const steps = (path: string): (string | number)[] =>
  [...path.matchAll(/([A-Za-z_]\w*)|\[(\d+)\]/g)].map((m) => (m[2] === undefined ? m[1]! : Number(m[2])));

/** at gives what stands at a path. */
export function at(document: unknown, path: string): unknown {
  let value: any = document;
  for (const step of steps(path)) {
    if (value == null || !Object.hasOwn(value, step)) return undefined;
    value = value[step];
  }
  return value;
}

/** withValue gives a copy of a document with another value at a path, or without one. */
export function withValue(build: Build, path: string, value: unknown): Build {
  const copy = structuredClone(build);
  const way = steps(path);
  const last = way.pop();
  let holder: any = copy;
  for (const step of way) {
    // A document is not grown by places in lists, nor by names that every object has.
    if (typeof step === "number" ? !holder?.[step] : step in {}) return build;
    holder = Object.hasOwn(holder, step) ? holder[step] : (holder[step] = {});
    if (typeof holder !== "object" || holder === null) return build;
  }
  if (last === undefined || last in {}) return build;
  if (value === undefined) delete holder[last];
  else holder[last] = value;
  return copy;
}

const units: [RegExp, string][] = [
  [/_k_per_w$/, "K/W"],
  [/_w_per_k$/, "W/K"],
  [/_per_kwh$/, "/kWh"],
  [/_mm2$/, "mm²"],
  [/_cm2$/, "cm²"],
  [/_mm$/, "mm"],
  [/_m$/, "m"],
  [/_g$/, "g"],
  [/_w$/, "W"],
  [/_v$/, "V"],
  [/_a$/, "A"],
  [/_c$/, "°C"],
  [/_k$/, "K"],
  [/_dba$/, "dB(A)"],
  [/_rpm$/, "1/min"],
  [/_m3h$/, "m³/h"],
  [/_pa$/, "Pa"],
  [/_lpm$/, "l/min"],
  [/_gb$/, "GB"],
  [/_mts$/, "MT/s"],
  [/_gbps$/, "GB/s"],
  [/_us$/, "µs"],
  [/_ms$/, "ms"],
  [/_hz$/, "Hz"],
  [/_nm$/, "N·m"],
  [/_share$/, "0–1"],
  [/_litres?$/, "l"],
  [/_minutes$/, "min"],
];

/** Field is how one value of a document is asked for. */
export interface Field {
  kind: "number" | "word" | "truth" | "structure";
  unit: string;
  /** Name of the value in words, without its unit. */
  name: string;
}

const named = Object.entries(kinds).flatMap(([kind, names]) =>
  names.split(" ").map((name) => [name, kind as Field["kind"]] as const),
);
const kindOf = new Map(named);

/** fieldAt tells from a path's last name how its value is asked for. */
export function fieldAt(path: string): Field {
  const [holder, name] = ["", ...path.replace(/\[\d+\]/g, "").split(".")].slice(-2) as [string, string];
  const unit = units.find(([ending]) => ending.test(name));
  const kind = kindOf.get(`${holder}.${name}`) ?? kindOf.get(name) ?? (unit ? "number" : "structure");
  return { kind, unit: unit?.[1] ?? "", name: (unit ? name.replace(unit[0], "") : name).replaceAll("_", " ") };
}
