// The head of the record: the verdict, the build, and a mark for each finding.

import { short, type Answer, type Build, type Finding } from "./answer.js";
import { h, place } from "./dom.js";
import type { Words } from "./words.js";

/** Head shows what decides. */
export class Head {
  /** Says the verdict to those who do not see it change. */
  readonly live = h("p", { class: "live", role: "status" });
  #stamp = h("p", { class: "stamp", part: "stamp" });
  #title = h("h2", { class: "title", id: "own-title" });
  #sentence = h("p", { class: "sentence" });
  #counts = h("p", { class: "counts" });
  #tape = h("div", { class: "tape", "aria-hidden": "true" });
  readonly root = h(
    "header",
    { class: "head", part: "head" },
    this.#stamp,
    h("div", null, this.#title, this.#sentence, this.#counts),
    this.#tape,
  );

  /** rest names the record where there is no answer. */
  rest(words: Words): void {
    this.#title.textContent = words.say("record");
  }

  /** update shows the verdict on a build. */
  update(answer: Answer, build: Build, words: Words): void {
    const kind = short(answer.verdict);
    this.#stamp.className = `stamp v-${kind}`;
    this.#stamp.textContent = words.say(kind);
    place(this.#title, h("bdi", null, build.title || build.id || words.say("record")));
    place(this.#sentence, h("bdi", null, words.say(`${kind}.long`)));
    this.#tally(answer.findings ?? [], words);
  }

  #tally(findings: Finding[], words: Words): void {
    const kinds = findings.map((f) => short(f.verdict));
    const counts = (["fail", "unknown", "marginal", "pass"] as const)
      .map((kind) => [kind, kinds.filter((k) => k === kind).length] as const)
      .filter(([, n]) => n > 0)
      .map(([kind, n]) => words.count(`${kind}.count`, n));
    place(this.#counts, h("bdi", null, counts.join(" · ")));
    const said = `${this.#stamp.textContent}. ${this.#sentence.textContent} ${counts.join(", ")}.`;
    if (this.live.textContent !== said) this.live.textContent = said;
    const packs = [...new Set(findings.map((f) => f.pack ?? ""))];
    place(
      this.#tape,
      packs.map((pack) =>
        h(
          "span",
          null,
          h(
            "span",
            null,
            findings.filter((f) => (f.pack ?? "") === pack).map((f) => h("i", { class: `v-${short(f.verdict)}` })),
          ),
          h("small", null, pack),
        ),
      ),
    );
  }
}
