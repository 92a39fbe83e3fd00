// The scale beside a finding: what was measured with its range, against the mark
// of what is required, with the side that is barred hatched.

import { s } from "./dom.js";
import type { Finding } from "./answer.js";

const width = 120;
const height = 22;

/** gauge draws a finding's figures, where there are two to compare. */
export function gauge(f: Finding): Element | null {
  const { measured: m, required: r } = f;
  if (
    m?.nominal == null ||
    r?.nominal == null ||
    (f.relation !== "RELATION_AT_MOST" && f.relation !== "RELATION_AT_LEAST")
  )
    return null;
  const values = [
    m.nominal,
    m.low ?? m.nominal,
    m.high ?? m.nominal,
    r.nominal,
    r.low ?? r.nominal,
    r.high ?? r.nominal,
  ];
  const least = Math.min(...values);
  const most = Math.max(...values);
  const span = Math.max(most - least, Math.abs(r.nominal) * 0.01, 1e-9);
  const x = (v: number) => Number((10 + ((v - least + span * 0.2) / (span * 1.4)) * (width - 20)).toFixed(1));
  const limit = x(r.nominal);
  const barred = f.relation === "RELATION_AT_MOST" ? [limit, width] : [0, limit];
  const low = x(m.low ?? m.nominal);
  const high = x(m.high ?? m.nominal);
  return s(
    "svg",
    { class: "gauge", viewBox: `0 0 ${width} ${height}`, "aria-hidden": "true", focusable: "false" },
    s("path", { class: "barred", d: hatch(barred[0]!, barred[1]!) }),
    s("path", { class: "base", d: `M0 18H${width}` + ticks() }),
    s("path", { class: "limit", d: `M${limit} 1V18` }),
    s("rect", { class: "span", x: Math.min(low, high - 1), y: 7, width: Math.max(1, high - low), height: 6 }),
    s("path", { class: "nominal", d: `M${x(m.nominal)} 4V16` }),
  );
}

const ticks = (): string => Array.from({ length: 13 }, (_, i) => `M${i * 10} 18v${i % 5 === 0 ? 4 : 2}`).join("");

function hatch(from: number, to: number): string {
  let path = "";
  for (let x = from + 2; x < to + 8; x += 4) {
    const top = Math.min(x, to);
    const foot = Math.max(x - 8, from);
    path += `M${foot} ${3 + (x - foot)}L${top} ${3 + (x - top)}`;
  }
  return path;
}
