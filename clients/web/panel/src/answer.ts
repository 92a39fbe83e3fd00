// The part of the service's JSON that the panel reads: names as in the contract.

export type Verdict = "VERDICT_PASS" | "VERDICT_MARGINAL" | "VERDICT_UNKNOWN" | "VERDICT_FAIL";

export interface Quantity {
  nominal?: number;
  low?: number;
  high?: number;
  unit?: string;
  word?: string;
}

export interface Message {
  key?: string;
  text?: string;
  arguments?: { name: string; value?: Quantity }[];
}

export interface Finding {
  rule?: string;
  pack?: string;
  version?: string;
  subjects?: string[];
  verdict?: Verdict;
  summary?: Message;
  measured?: Quantity;
  required?: Quantity;
  relation?: string;
  margin?: Quantity;
  saturates?: boolean;
  inputs?: { path?: string; value?: Quantity; assumed?: boolean }[];
  formula?: Message;
  sources?: { id?: string; title?: string; standing?: string }[];
  remedies?: { action?: Message; change?: Quantity; buy?: string[] }[];
  caution?: Message;
  missing?: string[];
  missing_facts?: string[];
}

export interface Seat {
  item?: string;
  mount?: string;
  pose?: number;
  offsets_mm?: number[];
  flow?: string;
  side?: string;
  position?: number;
  count?: number;
  fans_outside?: boolean;
  fittings?: string;
  slide_mm?: number;
  placed?: unknown;
  panel?: string;
  guard?: string;
}

export interface Arrangement {
  layout?: string;
  seats?: Seat[];
  feasible?: boolean;
  margin_mm?: number;
  boxes?: { item?: string; shape?: string }[];
  routes?: { from?: string; to?: string }[];
}

/** Dimension is an element of a drawing that measures how far two things are apart. */
export interface Dimension {
  element?: string;
  first_item?: string;
  second_item?: string;
  length_mm?: number;
}

export interface Fact {
  name?: string;
  arrangement?: Arrangement;
  ranking?: { arrangements?: Arrangement[]; feasible_count?: string };
  assembly?: { purchases?: { what?: string; count?: number; price?: number }[] };
  picture?: { svg?: string; dimensions?: Dimension[] };
  [other: string]: unknown;
}

export interface Answer {
  findings?: Finding[];
  verdict?: Verdict;
  ruleset?: { digest?: string; packs?: { name?: string; version?: string; answered?: boolean }[] };
  build_id?: string;
  facts?: Fact[];
}

export interface Violation {
  path?: string;
  reason?: string;
}

/** Build is the document that is asked about; the panel knows only what it touches. */
export interface Build {
  id?: string;
  title?: string;
  items?: { id?: string; part?: Record<string, any>; count?: number }[];
  arrangement?: { layout?: string; placements?: Seat[] };
  [other: string]: unknown;
}

/** fact gives one fact of an answer by its name. */
export const fact = (answer: Answer | undefined, name: string): Fact | undefined =>
  answer?.facts?.find((f) => f.name === name);

/** short is a verdict's name as classes and texts use it. */
export const short = (verdict: Verdict | undefined): "fail" | "marginal" | "unknown" | "pass" =>
  verdict === "VERDICT_FAIL"
    ? "fail"
    : verdict === "VERDICT_MARGINAL"
      ? "marginal"
      : verdict === "VERDICT_PASS"
        ? "pass"
        : "unknown";

const weight = { fail: 0, unknown: 1, marginal: 2, pass: 3 };

/** full tells that nothing more can be had, as of a link at its full rate: nothing is tight. */
export const full = (f: Finding): boolean => !!f.saturates && (f.margin?.nominal ?? -1) >= 0;

/** share is a margin by what is required: how bad it is, whatever the unit. */
function share(f: Finding): number {
  if (full(f)) return Number.POSITIVE_INFINITY;
  const margin = f.margin?.nominal;
  const required = Math.abs(f.required?.nominal ?? 0) || Math.abs(f.measured?.nominal ?? 0);
  return margin == null || !required ? Number.NEGATIVE_INFINITY : margin / required;
}

/** sums are rules whose findings sum up others; what they sum up comes first. */
const sums = new Set(["clearance.arrangement"]);

/**
 * byImportance puts what fails before what is open before what is tight; among
 * those what can hurt somebody first, then what misses by the greatest share.
 */
export function byImportance(findings: Finding[]): Finding[] {
  return findings
    .map((f, i) => ({
      f,
      i,
      w: weight[short(f.verdict)],
      c: sums.has(f.rule ?? "") ? 2 : f.caution ? 0 : 1,
      s: share(f),
    }))
    .sort((a, b) => a.w - b.w || a.c - b.c || (a.s === b.s ? 0 : a.s - b.s) || a.i - b.i)
    .map((e) => e.f);
}
