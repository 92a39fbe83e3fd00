// Parts and builds as the shop sees them: what role takes which kinds, which fans
// turn, what things cost.

import type { Build } from "../../panel/src/answer.js";

/** Bench is a build that is complete enough to be swapped about in. */
export interface Bench extends Build {
  items: Item[];
  use?: { fans?: { item: string; speed_rpm: number }[] };
}

export interface Part {
  id?: string;
  name?: string;
  maker?: string;
  price?: { amount?: number; currency?: string };
  [kind: string]: any;
}

export type Item = { id: string; part: Part; count?: number };

export interface Docket {
  build: Bench;
  shows: string;
  expect: string;
}

const kinds =
  "chassis board processor air_cooler liquid_loop radiator memory card supply drive fan cable riser accessory fastener_kit".split(
    " ",
  );

/** kindOf is what a part is. */
export const kindOf = (part: Part): string => kinds.find((k) => k in part) ?? "";

/** alike tells whether one part can take the place of another: coolers of air and of liquid do the same work. */
export function alike(a: Part, b: Part): boolean {
  const role = (p: Part) => (kindOf(p) === "liquid_loop" ? "air_cooler" : kindOf(p));
  return role(a) === role(b);
}

/** fanOf is the fan that turns in a part. */
export function fanOf(part: Part): { min_speed_rpm?: number; max_speed_rpm?: number } | undefined {
  const kind = part[kindOf(part)] ?? {};
  return part["fan"] ?? kind.fans?.[0]?.fan ?? kind.fan;
}

/** speedOf is the speed that a build sets for an item, or the fan's greatest. */
export function speedOf(build: Bench, item: Item): number {
  const set = build.use?.fans?.find((f) => f.item === item.id);
  return set?.speed_rpm ?? fanOf(item.part)?.max_speed_rpm ?? 0;
}

/** withSpeeds gives a copy of a build with other fan speeds. */
export function withSpeeds(build: Bench, speeds: { item: string; speed_rpm: number }[]): Bench {
  const copy = structuredClone(build);
  const use = (copy.use ??= {});
  use.fans = [...(use.fans ?? []).filter((f) => !speeds.some((s) => s.item === f.item)), ...speeds];
  return copy;
}

/**
 * freed gives a copy of a build in which one item may go anywhere: a place that was
 * chosen for a part is none for another. Fans keep theirs, and the way they blow.
 */
export function freed(build: Bench, id: string): Bench {
  const copy = structuredClone(build);
  if (copy.items.find((i) => i.id === id)?.part["fan"]) return copy;
  if (copy.arrangement?.placements)
    copy.arrangement.placements = copy.arrangement.placements.filter((p) => p.item !== id);
  return copy;
}

/** withPart gives a copy of a build with another part in one role. */
export function withPart(build: Bench, id: string, part: Part): Bench {
  const copy = freed(build, id);
  const item = copy.items.find((i) => i.id === id);
  if (!item) return copy;
  item.part = structuredClone(part);
  // A speed that the new fan does not have would be a setting of the old one.
  const fan = fanOf(part);
  const most = fan?.max_speed_rpm;
  if (copy.use?.fans)
    copy.use.fans = copy.use.fans
      .filter((f) => fan || f.item !== id)
      .map((f) => (f.item === id && most !== undefined ? { ...f, speed_rpm: Math.min(f.speed_rpm, most) } : f));
  return copy;
}
