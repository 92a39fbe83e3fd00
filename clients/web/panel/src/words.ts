// The panel's own words, and the service's messages in other languages. A message
// without a template here is shown in the service's own English.

import { h, type Child } from "./dom.js";
import type { Message, Quantity } from "./answer.js";
import { german } from "./german.js";

const english: Record<string, string> = {
  fail: "FAIL",
  marginal: "MARGINAL",
  unknown: "UNKNOWN",
  pass: "PASS",
  "fail.long": "These parts do not go together as they stand.",
  "unknown.long": "Whether these parts go together cannot be told yet.",
  "marginal.long": "These parts go together, with no room to spare in places.",
  "pass.long": "These parts go together.",
  "fail.count": "{n} fail",
  "marginal.count": "{n} marginal",
  "unknown.count": "{n} unknown",
  "pass.count": "{n} pass",
  record: "Fit record",
  rules: "Rules {digest}",
  outdated: "Earlier answer",
  none: "No build to check yet.",
  asking: "Checking …",
  slow: "The service takes longer than usual …",
  away: "The service cannot be reached. Asking again in {n} s.",
  now: "Ask now",
  refused: "The service cannot read this build.",
  questions: "Missing figures",
  "questions.more": "{n} more",
  "questions.why": "Fill in what you know; each figure is judged at once.",
  settles: "needed by {n} requirements",
  "settles.1": "needed by 1 requirement",
  number: "Enter a number, such as 12.5.",
  yes: "yes",
  no: "no",
  structure: "More than one figure each, to be added to the document:",
  drawing: "Drawing",
  "no-drawing": "There is nothing to draw: the enclosure is described by its limits alone.",
  "bad-drawing": "The drawing cannot be shown.",
  "section-side": "Side",
  "section-top": "Above",
  "section-front": "Front",
  sheet: "Sheet",
  light: "Point out",
  findings: "To settle and to watch",
  nothing: "Nothing to settle.",
  passed: "What passes",
  measured: "measured",
  required: "required",
  margin: "margin",
  atmost: "at most",
  atleast: "at least",
  among: "one of",
  inputs: "From",
  assumed: "assumed",
  how: "How",
  sources: "By",
  rule: "Rule",
  missing: "Missing",
  do: "Do",
  or: "Or",
  caution: "Caution",
  arrangement: "Arrangement",
  arranged: "as in the document",
  free: "free: the best is taken",
  choose: "Choose an arrangement",
  "margin.of": "{n} to spare in the tightest place",
  feasible: "{n} arrangements fit",
  "feasible.1": "1 arrangement fits",
  "feasible.0": "No arrangement fits.",
  intake: "blowing in",
  exhaust: "blowing out",
  at: "at",
  pose: "pose",
  room: "Room",
  use: "Use",
  buy: "To buy",
  unanswered: "Did not answer: {packs}",
};

const languages: Record<string, Record<string, string>> = { en: english, de: german };

/** addLanguage supplies texts by key: the panel's own words, and templates of the service's messages. */
export function addLanguage(language: string, texts: Record<string, string>): void {
  languages[language] = { ...languages[language], ...texts };
}

/** Words are the texts of one language. */
export class Words {
  readonly #texts: Record<string, string>;
  readonly #figures: Intl.NumberFormat[];
  readonly language: string;

  constructor(readonly tag: string) {
    let numbers = tag;
    try {
      numbers = Intl.getCanonicalLocales(tag)[0] ?? "en";
    } catch {
      numbers = "en";
    }
    const primary = numbers.split("-")[0]!;
    this.language = languages[primary] ? primary : "en";
    this.#texts = languages[this.language]!;
    this.#figures = [0, 1, 2, 3].map(
      (maximumFractionDigits) =>
        new Intl.NumberFormat(numbers, { maximumFractionDigits, useGrouping: "min2" } as Intl.NumberFormatOptions),
    );
  }

  /** say gives one of the panel's own texts, filled in. */
  say(key: string, values: Record<string, string | number> = {}): string {
    const text = this.#texts[key] ?? english[key] ?? key;
    return text.replace(/\{(\w+)\}/g, (_, name: string) => String(values[name] ?? ""));
  }

  /** count is say for a number of things, with the language's own form for one. */
  count(key: string, n: number): string {
    return this.say((this.#texts[`${key}.${n}`] ?? english[`${key}.${n}`]) ? `${key}.${n}` : key, { n });
  }

  /** number writes a figure with as many digits as it deserves. */
  number(value: number, signed = false): string {
    const size = Math.abs(value);
    const text = this.#figures[size >= 1000 ? 0 : size >= 10 ? 1 : size >= 0.1 || size === 0 ? 2 : 3]!.format(size);
    return (value < 0 && /[1-9]/.test(text) ? "−" : signed && /[1-9]/.test(text) ? "+" : "") + text;
  }

  /** unit writes a unit as print has it. */
  unit(unit: string | undefined): string {
    const text = (unit ?? "").replace("m3/", "m³/").replace("cm2", "cm²").replace("N.m", "N·m");
    return text === "" ? "" : `\u00a0${text}`;
  }

  /** quantity writes a number with its range and unit, or a word. */
  quantity(q: Quantity | undefined, range = true, signed = false): Child {
    if (!q) return "–";
    if (q.word !== undefined) return h("bdi", null, q.word);
    if (q.nominal === undefined) return "–";
    const { low = q.nominal, high = q.nominal } = q;
    const wide = range && this.number(low) !== this.number(high);
    return h(
      "span",
      { class: "figure" },
      this.number(q.nominal, signed),
      wide && h("span", { class: "range" }, ` (${this.number(low)}…${this.number(high)})`),
      this.unit(q.unit),
    );
  }

  /**
   * message writes one of the service's messages. What it is filled with is set
   * apart from the sentence, so that no name can turn the sentence round.
   */
  message(m: Message | undefined): Child {
    if (!m) return null;
    const template = this.language === "en" ? undefined : this.#texts[m.key ?? ""];
    const values = m.arguments ?? [];
    if (template === undefined) {
      const names = values
        .flatMap((v) => v.value?.word ?? [])
        .filter((word) => word !== "")
        .sort((a, b) => b.length - a.length);
      return h("span", this.language === "en" ? null : { lang: "en" }, h("bdi", null, apart(m.text ?? "", names)));
    }
    return template.split(/\{(\w+)\}/).map((piece, i) => {
      if (i % 2 === 0) return piece;
      const value = values.find((v) => v.name === piece)?.value;
      return value ? this.quantity(value, false) : piece;
    });
  }
}

/** apart sets each name that stands in a text into an element of its own. */
function apart(text: string, names: string[]): Child[] {
  const name = names.find((n) => text.includes(n));
  if (name === undefined) return [text];
  return text.split(name).flatMap((piece, i) => [
    i > 0 && h("bdi", null, name),
    apart(
      piece,
      names.filter((n) => n !== name),
    ),
  ]);
}
