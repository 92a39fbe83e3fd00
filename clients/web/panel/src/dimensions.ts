// Which dimensions of the drawing a finding is about. Findings point at items by
// their ids and at dimensions by marks, which no id of an item can be.

import type { Dimension, Finding, Quantity } from "./answer.js";

const nearly = 0.005; // mm; dimensions and findings come from the same figures

/** markOf is what points at a dimension. */
export const markOf = (d: Dimension): string => `#${d.element}`;

/** isMark tells what points at a dimension from what points at an item. */
export const isMark = (name: string): boolean => name.startsWith("#");

/**
 * stated are the dimensions whose length a finding states, as what it measured or as
 * what is left over, between two things that it is about.
 */
export function stated(f: Finding, dimensions: Dimension[]): Dimension[] {
  const about = (item: string | undefined) => !item || !!f.subjects?.includes(item);
  const says = (q: Quantity | undefined, mm: number) =>
    q?.unit === "mm" && q.nominal !== undefined && Math.abs(q.nominal - mm) < nearly;
  return dimensions.filter((d) => {
    const mm = d.length_mm ?? 0;
    return about(d.first_item) && about(d.second_item) && (says(f.measured, mm) || says(f.margin, mm));
  });
}
