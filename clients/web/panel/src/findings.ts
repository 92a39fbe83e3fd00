// Findings as numbered rows, with their evidence to unfold.

import { byImportance, full, short, type Dimension, type Finding } from "./answer.js";
import { markOf, stated } from "./dimensions.js";
import { h, Kept, place, type Child } from "./dom.js";
import { gauge } from "./gauge.js";
import type { Words } from "./words.js";

const keyOf = (f: Finding): string => [f.rule ?? f.pack, ...(f.subjects ?? [])].join(" ");

/** Findings shows what is to settle and to watch, and folds up what passes. */
export class Findings {
  readonly root = h("section", { class: "findings", part: "findings", "aria-labelledby": "own-findings" });
  #heading = h("h2", { id: "own-findings" });
  #list = h("ol");
  #nothing = h("p", { class: "empty" });
  #passed = h("details", { class: "passed" });
  #passedHead = h("summary");
  #passedList = h("ol");
  #rows = new Kept<HTMLLIElement>();
  #names = new Map<HTMLLIElement, string[]>(); // what each row points at: items, and marks of dimensions
  #language = "";
  #fillPassed = (): void => {};

  constructor(readonly onPoint: (names: string[], pinned: boolean) => void) {
    place(this.#passed, this.#passedHead, this.#passedList);
    this.#passed.addEventListener("toggle", () => this.#fillPassed());
    place(this.root, this.#heading, this.#nothing, this.#list, this.#passed);
  }

  /** update shows the findings of an answer, which may state dimensions of its drawing. */
  update(findings: Finding[], dimensions: Dimension[], words: Words): void {
    if (this.#language !== words.tag) this.#rows = new Kept();
    this.#language = words.tag;
    this.#names.clear();
    const seen = new Map<string, number>();
    const rows = byImportance(findings).map((f, i) => {
      const key = keyOf(f);
      const again = (seen.get(key) ?? 0) + 1;
      seen.set(key, again);
      const make = () => {
        const row = this.#rows.get(`${key} ${again}`, [f, i], (old) => this.#row(f, i + 1, words, old));
        this.#names.set(row, [...(f.subjects ?? []), ...stated(f, dimensions).map(markOf)]);
        return row;
      };
      return { make, passes: short(f.verdict) === "pass" };
    });
    const open = rows.filter((r) => !r.passes);
    const passed = rows.filter((r) => r.passes);
    this.#heading.textContent = words.say("findings");
    this.#nothing.textContent = words.say("nothing");
    this.#nothing.hidden = open.length > 0;
    place(
      this.#list,
      open.map((r) => r.make()),
    );
    this.#passedHead.textContent = `${words.say("passed")} (${passed.length})`;
    this.#passed.hidden = passed.length === 0;
    // What passes is many rows, and seldom looked at: they are made when they are.
    this.#fillPassed = () => place(this.#passedList, this.#passed.open ? passed.map((r) => r.make()) : []);
    this.#fillPassed();
    this.#rows.turn();
  }

  /** light marks the rows that concern what is pointed at. */
  light(names: string[]): void {
    for (const [row, own] of this.#names)
      row.classList.toggle(
        "lit",
        names.some((n) => own.includes(n)),
      );
  }

  /** show brings the first row that concerns what is pointed at into sight. */
  show(names: string[]): void {
    for (const [row, own] of this.#names) {
      if (!names.some((n) => own.includes(n))) continue;
      row.scrollIntoView({ block: "nearest" });
      return;
    }
  }

  #row(f: Finding, number: number, words: Words, old?: HTMLLIElement): HTMLLIElement {
    const kind = short(f.verdict);
    const names = () => this.#names.get(row) ?? [];
    const point = (on: boolean) => () => this.onPoint(on ? names() : [], false);
    const details = h(
      "details",
      { open: old?.querySelector("details")?.open ?? false },
      h(
        "summary",
        { focus: point(true), blur: point(false), click: () => this.onPoint(names(), true) },
        h("span", { class: "no" }, number),
        h("span", { class: "say" }, h("span", { class: "mark" }, words.say(kind)), " ", words.message(f.summary)),
        h(
          "span",
          { class: "figures" },
          !full(f) && gauge(f),
          !full(f) && f.margin && h("span", { class: "margin" }, words.quantity(f.margin, false, true)),
        ),
      ),
    );
    const unfold = () => {
      if (details.open && details.childElementCount === 1) details.append(evidence(f, words));
    };
    details.addEventListener("toggle", unfold);
    unfold();
    const row = h(
      "li",
      {
        class: `finding v-${kind}`,
        part: `finding ${kind}`,
        "data-rule": f.rule ?? "",
        pointerenter: point(true),
        pointerleave: point(false),
      },
      details,
      kind !== "pass" &&
        f.remedies?.map((r, i) =>
          h("p", { class: "do" }, h("b", null, words.say(i ? "or" : "do")), " ", words.message(r.action)),
        ),
      kind !== "pass" && caution(f, words),
    );
    return row;
  }
}

const caution = (f: Finding, words: Words): Child =>
  f.caution && h("p", { class: "caution" }, h("b", null, words.say("caution")), " ", words.message(f.caution));

function evidence(f: Finding, words: Words): HTMLElement {
  const relation =
    f.relation === "RELATION_AT_MOST"
      ? "atmost"
      : f.relation === "RELATION_AT_LEAST"
        ? "atleast"
        : f.relation === "RELATION_AMONG"
          ? "among"
          : "";
  const line = (term: string, ...value: Child[]): Child =>
    value.some((v) => v && (!Array.isArray(v) || v.length)) &&
    h("div", null, h("dt", null, words.say(term)), h("dd", null, ...value));
  return h(
    "dl",
    { class: "evidence" },
    line("measured", f.measured && words.quantity(f.measured)),
    line("required", f.required && [relation && `${words.say(relation)} `, words.quantity(f.required)]),
    line("margin", f.margin && words.quantity(f.margin, true, true)),
    line(
      "inputs",
      f.inputs?.length &&
        h(
          "ul",
          null,
          f.inputs.map((i) =>
            h(
              "li",
              null,
              pathOf(i.path ?? ""),
              " = ",
              words.quantity(i.value),
              i.assumed && ` (${words.say("assumed")})`,
            ),
          ),
        ),
    ),
    line(
      "missing",
      f.missing?.length &&
        h(
          "ul",
          null,
          f.missing.map((p) => h("li", null, pathOf(p))),
        ),
      (f.missing_facts ?? []).join(", "),
    ),
    line("how", words.message(f.formula)),
    line(
      "sources",
      f.sources?.length &&
        h(
          "ul",
          null,
          f.sources.map((q) =>
            h("li", null, h("bdi", null, q.title ?? q.id ?? ""), q.standing && ` (${words.phrase(q.standing)})`),
          ),
        ),
    ),
    line("rule", h("code", null, f.rule ?? f.pack ?? ""), f.version && ` ${f.version}`),
    f.verdict === "VERDICT_PASS" && f.caution && caution(f, words),
  );
}

/** pathOf writes a document path with break opportunities, always from left to right. */
const pathOf = (path: string): HTMLElement =>
  h(
    "code",
    { dir: "ltr" },
    path.split(/(?<=[.\]])/).flatMap((step, i) => [i > 0 && h("wbr"), step]),
  );
