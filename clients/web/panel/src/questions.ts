// What is missing, asked for field by field. What was filled in stays, to be
// mended or taken back.

import type { Build, Finding, Violation } from "./answer.js";
import { h, Kept, place } from "./dom.js";
import { at, fieldAt } from "./path.js";
import type { Words } from "./words.js";

const atOnce = 6; // fields that stand open; more would hide what is known already

/** Questions asks for the figures that findings lack. */
export class Questions {
  readonly root = h("section", { class: "questions", part: "questions", "aria-labelledby": "own-questions" });
  #heading = h("h2", { id: "own-questions" });
  #fold = h("details", null, h("summary", { click: () => (this.#touched = true) }, this.#heading));
  #touched = false;
  #why = h("p");
  #fields = h("div", { class: "fields" });
  #more = h("details");
  #moreHead = h("summary");
  #moreFields = h("div", { class: "fields" });
  #rest = h("p", { class: "rest" });
  #rows = new Kept<HTMLElement>();
  #given = new Map<string, unknown>();
  #order: string[] = [];
  #language = "";

  constructor(readonly onValue: (path: string, value: unknown) => void) {
    place(this.#more, this.#moreHead, this.#moreFields);
    this.#fold.append(this.#why, this.#fields, this.#more, this.#rest);
    place(this.root, this.#fold);
    this.root.hidden = true;
  }

  /** forget drops what was filled in where a document says otherwise now. */
  forget(build: Build): void {
    for (const [path, value] of this.#given) if (at(build, path) !== value) this.#given.delete(path);
  }

  /** update asks for what findings lack, what settles most first. */
  update(findings: Finding[], build: Build, violations: Violation[], words: Words): void {
    const needs = new Map<string, number>([...this.#given.keys()].map((path) => [path, 0]));
    for (const f of findings) for (const path of f.missing ?? []) needs.set(path, (needs.get(path) ?? 0) + 1);
    // Fields keep their places while somebody works through them; new ones come last.
    const paths = [...needs.keys()].sort((a, b) => needs.get(b)! - needs.get(a)!);
    this.#order = [...this.#order.filter((p) => needs.has(p)), ...paths.filter((p) => !this.#order.includes(p))];
    const asked = this.#order.filter((p) => fieldAt(p).kind !== "structure");
    const rest = paths.filter((p) => fieldAt(p).kind === "structure");
    if (this.#language !== words.tag) this.#rows = new Kept();
    this.#language = words.tag;
    this.root.hidden = paths.length === 0;
    this.#heading.textContent = `${words.say("questions")} (${paths.length})`;
    // Where something fails already, that comes first, until the visitor wants otherwise.
    if (!this.#touched && !this.#given.size) this.#fold.open = !findings.some((f) => f.verdict === "VERDICT_FAIL");
    this.#why.textContent = words.say("questions.why");
    const rows = asked.map((path) => {
      const wrong = violations.find((v) => (v.path ?? "").replace(/^build\./, "") === path)?.reason;
      return this.#rows.get(path, [labelOf(path, build), needs.get(path), wrong, this.#given.has(path)], (old) =>
        this.#row(path, build, needs.get(path)!, wrong, words, old),
      );
    });
    place(this.#fields, rows.slice(0, atOnce));
    place(this.#moreFields, rows.slice(atOnce));
    this.#more.hidden = rows.length <= atOnce;
    this.#moreHead.textContent = words.say("questions.more", { n: rows.length - atOnce });
    this.#rows.turn();
    this.#rest.hidden = rest.length === 0;
    place(
      this.#rest,
      h("span", null, words.say("structure"), " "),
      rest.flatMap((p, i) => [i > 0 && document.createTextNode(", "), h("code", { dir: "ltr" }, p)]),
    );
  }

  #row(
    path: string,
    build: Build,
    needed: number,
    wrong: string | undefined,
    words: Words,
    old?: HTMLElement,
  ): HTMLElement {
    const field = fieldAt(path);
    const [item] = labelOf(path, build);
    const id = `own-q-${path}`;
    const hint = h("small", { id: `${id}-hint` }, wrong ?? (needed ? words.count("settles", needed) : ""));
    // A row that is made anew while somebody types in it keeps the control that is typed in.
    const control =
      old?.querySelector<HTMLInputElement | HTMLSelectElement>("input,select") ?? this.#control(path, words);
    control.id = id;
    control.setAttribute("aria-describedby", hint.id);
    control.toggleAttribute("aria-invalid", false);
    if (wrong) control.setAttribute("aria-invalid", "true");
    const label = h("label", { for: id }, item && [h("bdi", null, words.say(item)), " · "], words.say(field.name));
    const row = old ?? h("div", { class: "field" });
    row.classList.toggle("given", this.#given.has(path));
    row.classList.toggle("wrong", !!wrong);
    place(
      row,
      label,
      old?.querySelector(".entry") ??
        h("span", { class: "entry" }, control, h("span", { class: "unit" }, words.unit(field.unit))),
      hint,
    );
    return row;
  }

  #control(path: string, words: Words): HTMLInputElement | HTMLSelectElement {
    const field = fieldAt(path);
    if (field.kind === "truth") {
      const select = h(
        "select",
        { change: () => this.#give(path, select.value === "" ? undefined : select.value === "yes") },
        h("option", { value: "" }),
        h("option", { value: "yes" }, words.say("yes")),
        h("option", { value: "no" }, words.say("no")),
      );
      return select;
    }
    const number = field.kind === "number";
    const input = h("input", {
      type: "text",
      autocomplete: "off",
      spellcheck: "false",
      inputmode: number ? "decimal" : "text",
      maxlength: number ? 24 : 200,
      change: () => {
        const text = input.value.trim();
        const value = !number || text === "" ? text || undefined : Number(text.replace(",", "."));
        const bad = typeof value === "number" && !Number.isFinite(value);
        input.setCustomValidity(bad ? words.say("number") : "");
        input.setAttribute("aria-invalid", String(bad));
        if (bad) {
          const hint = input.closest(".field")?.querySelector("small");
          if (hint) hint.textContent = words.say("number");
        } else this.#give(path, value);
      },
    });
    return input;
  }

  #give(path: string, value: unknown): void {
    if (value === undefined) this.#given.delete(path);
    else this.#given.set(path, value);
    this.onValue(path, value);
  }
}

/** labelOf says whose figure a path is. */
function labelOf(path: string, build: Build): [item: string, name: string] {
  const place = /^items\[(\d+)\]/.exec(path);
  const item = place && build.items?.[Number(place[1])];
  return [item ? String(item.part?.["name"] ?? item.id) : (/^(\w+)\./.exec(path)?.[1] ?? ""), fieldAt(path).name];
}
