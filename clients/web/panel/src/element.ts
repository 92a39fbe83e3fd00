// <slipfit-panel>: a build, and whether its parts go together.

import { fact, type Answer, type Arrangement, type Build, type Fact, type Violation } from "./answer.js";
import { Choice } from "./arrangement.js";
import { Asker, post, type State } from "./asking.js";
import { h, place } from "./dom.js";
import { Findings } from "./findings.js";
import { Head } from "./head.js";
import { addLanguage, fetched, primaryOf } from "./languages.js";
import css from "./panel.css";
import { withValue } from "./path.js";
import { Picture } from "./picture.js";
import { Questions } from "./questions.js";
import { Words } from "./words.js";

const styles = new CSSStyleSheet();
styles.replaceSync(css);

const wanted = ["clearance.arrangement", "clearance.drawing", "mounting.assembly"];

/**
 * SlipfitPanel shows whether the parts of a build go together, why not, and what
 * would settle it.
 *
 * Attributes: `src` (address of a build as JSON), `endpoint` (the service's address;
 * absent: where this module came from), `lang`, `scheme` ("light" or "dark"; absent:
 * as the browser prefers).
 *
 * Events, which pass through shadow roots: `slipfit-answer` when an answer is shown,
 * with `detail.answer` and `detail.build`; `slipfit-change` when the visitor filled
 * in a figure or chose an arrangement, with the new document as `detail.build`.
 */
export class SlipfitPanel extends HTMLElement {
  static readonly observedAttributes = ["src", "endpoint", "lang"];
  static readonly addLanguage = addLanguage;

  #build: Build | undefined;
  #text = "";
  #policy: unknown;
  #wants: string[] = [];
  #refusedWants = new Set<string>();
  #answer: Answer | undefined;
  #shown: Build | undefined;
  #violations: Violation[] = [];
  #state: State = { is: "rest" };
  #words = new Words("en");
  #hovered: string[] = [];
  #pinned: string[] = [];
  #loading: AbortController | undefined;
  #language: Promise<void> | undefined; // that texts are waited for

  #asker = new Asker(
    (answer, question) => this.#take(answer, question.build),
    (state) => this.#turn(state),
  );
  #head = new Head();
  #notice = h("div", { class: "notice", role: "status" });
  #record = h("article", { class: "record", part: "record", "aria-labelledby": "own-title" });
  #buy = h("section", { class: "buy", part: "purchases", "aria-labelledby": "own-buy" });
  #foot = h("p", { class: "foot" });
  #findings = new Findings((names, pinned) => this.#point(names, pinned));
  #questions = new Questions((path, value) => this.#change(withValue(this.#build!, path, value), { path, value }));
  #picture = new Picture((names, pinned) => {
    this.#point(names, pinned);
    if (pinned && names.length) this.#findings.show(names);
  });
  #choice = new Choice(
    (build) => this.#rank(build),
    (build) => this.#change(build, {}),
  );

  constructor() {
    super();
    const root = this.attachShadow({ mode: "open" });
    root.adoptedStyleSheets = [styles, this.#picture.styles];
    place(
      this.#record,
      this.#head.root,
      this.#notice,
      this.#head.live,
      h("div", { class: "main" }, this.#questions.root, this.#findings.root),
      h("div", { class: "aside" }, this.#picture.root, this.#choice.root, this.#buy),
      this.#foot,
    );
    root.append(this.#record);
  }

  connectedCallback(): void {
    addEventListener("online", this.#online);
    this.#relabel();
    if (this.#build) this.#ask();
  }

  disconnectedCallback(): void {
    removeEventListener("online", this.#online);
    this.#asker.stop();
  }

  attributeChangedCallback(name: string): void {
    if (name === "src") void this.#load();
    if (!this.isConnected) return;
    if (name === "lang") this.#relabel();
    if (name === "endpoint" && this.#build) this.#ask();
  }

  /** build is the document that is asked about. Setting it asks; it is never changed in place. */
  get build(): Build | undefined {
    return this.#build;
  }
  set build(build: Build | undefined) {
    const text = JSON.stringify(build) ?? "";
    if (text === this.#text) return;
    this.#text = text;
    this.#build = build === undefined ? undefined : structuredClone(build);
    this.#violations = [];
    if (this.#build) this.#questions.forget(this.#build);
    if (this.isConnected) this.#build ? this.#ask() : this.#clear();
  }

  /** policy is a list of parameters that differ from the rules' own, as in the contract. */
  get policy(): unknown {
    return this.#policy;
  }
  set policy(policy: unknown) {
    this.#policy = policy;
    if (this.isConnected && this.#build) this.#ask();
  }

  /** wants are names of facts that answers are to bring besides those that the panel shows. */
  get wants(): string[] {
    return [...this.#wants];
  }
  set wants(wants: string[]) {
    this.#wants = [...wants];
    if (this.isConnected && this.#build) this.#ask();
  }

  /** answer is what is shown now. */
  get answer(): Answer | undefined {
    return this.#answer;
  }

  #online = (): void => this.#asker.now();

  async #load(): Promise<void> {
    this.#loading?.abort();
    const src = this.getAttribute("src");
    if (src === null) return;
    const loading = (this.#loading = new AbortController());
    try {
      const response = await fetch(new URL(src, document.baseURI), { signal: loading.signal, credentials: "omit" });
      if (!response.ok) throw new Error(`${response.status} ${response.statusText}`);
      this.build = await response.json();
    } catch (error) {
      if (loading.signal.aborted) return;
      this.#turn({ is: "refused", reason: `${src}: ${(error as Error).message}`, violations: [] });
    }
  }

  #address(): string {
    return new URL(
      "v1/check",
      (this.getAttribute("endpoint") ?? new URL(".", import.meta.url).href).replace(/\/*$/, "/"),
    ).href;
  }

  #ask(): void {
    const wants = [...new Set([...wanted, ...this.#wants])].filter((w) => !this.#refusedWants.has(w));
    this.#asker.ask(this.#address(), { build: this.#build, wants, ...(this.#policy ? { policy: this.#policy } : {}) });
  }

  async #rank(build: Build): Promise<Fact["ranking"]> {
    const body = JSON.stringify({
      build,
      wants: ["clearance.ranking"],
      packs: [{ name: "clearance" }],
      ...(this.#policy ? { policy: this.#policy } : {}),
    });
    const response = await post(this.#address(), body, new AbortController().signal);
    return fact(await response.json(), "clearance.ranking")?.ranking;
  }

  #change(build: Build, detail: object): void {
    this.#build = build;
    this.#text = JSON.stringify(build);
    this.#ask();
    this.#emit("slipfit-change", { build: structuredClone(build), ...detail });
  }

  #emit(name: string, detail: object): void {
    this.dispatchEvent(new CustomEvent(name, { detail, bubbles: true, composed: true }));
  }

  #take(answer: Answer, build: Build): void {
    this.#answer = answer;
    this.#shown = build;
    this.#violations = [];
    this.#busy();
    if (this.#language) {
      void this.#language.then(() => this.#answer === answer && this.#tell(answer, build));
      return;
    }
    this.#notify();
    this.#render();
    this.#tell(answer, build);
  }

  #tell(answer: Answer, build: Build): void {
    this.#emit("slipfit-answer", { answer, build });
  }

  #turn(state: State): void {
    // What takes long to make is made while the answer is on its way.
    if (state.is === "asking") setTimeout(() => this.#words.warm());
    if (state.is === "refused") {
      // A service without one of the packs says so; the rest of the panel goes on.
      const asked = [...new Set([...wanted, ...this.#wants])].filter((w) => !this.#refusedWants.has(w));
      const places = state.violations.map((v) => asked[Number(/^wants\[(\d+)\]/.exec(v.path ?? "")?.[1])]);
      if (places.length && places.every((w) => w !== undefined)) {
        for (const w of places) this.#refusedWants.add(w!);
        this.#ask();
        return;
      }
      this.#violations = state.violations;
    }
    this.#state = state;
    this.#busy();
    this.#record.classList.toggle("old", state.is === "away" || state.is === "refused");
    this.#notify();
    if (state.is === "refused" && this.#shown)
      this.#questions.update(this.#answer?.findings ?? [], this.#shown, this.#violations, this.#words);
  }

  /** busy tells whether there is more to come: an answer, or the rest of one. */
  #busy(): void {
    const more = this.#answer && !this.#whole();
    const asked = this.#state.is === "asking" || this.#state.is === "slow";
    this.#record.setAttribute("aria-busy", String(asked || !!more));
  }

  #notify(): void {
    const say = (key: string, values?: Record<string, string | number>) => this.#words.say(key, values);
    const s = this.#state;
    const old = this.#answer && h("b", null, say("outdated"), " · ");
    if (s.is === "slow") place(this.#notice, h("p", null, say("slow")));
    else if (s.is === "away")
      place(
        this.#notice,
        h("p", null, old, say("away", { n: Math.ceil(s.again) })),
        h("button", { type: "button", click: () => this.#asker.now() }, say("now")),
      );
    else if (s.is === "refused")
      place(
        this.#notice,
        h("p", null, old, say("refused"), s.violations.length === 0 && [" ", h("bdi", null, s.reason)]),
        s.violations.length > 0 &&
          h(
            "ul",
            null,
            s.violations.map((v) => h("li", null, h("code", { dir: "ltr" }, v.path), " ", h("bdi", null, v.reason))),
          ),
      );
    else if (!this.#answer)
      place(this.#notice, h("p", null, say(this.#build || this.hasAttribute("src") ? "asking" : "none")));
    else place(this.#notice);
  }

  #clear(): void {
    this.#asker.stop();
    this.#answer = this.#shown = undefined;
    this.#record.classList.remove("told", "whole");
    this.#head.rest(this.#words);
    this.#turn({ is: "rest" });
  }

  #relabel(): void {
    const tag =
      this.getAttribute("lang") ||
      this.closest("[lang]")?.getAttribute("lang") ||
      document.documentElement.lang ||
      "en";
    const coming = fetched(primaryOf(tag));
    if (coming) this.#language = coming.then(() => ((this.#language = undefined), this.#relabel()));
    if (this.#language) return;
    this.#words = new Words(tag);
    this.#record.lang = this.#words.language;
    this.#notify();
    if (this.#answer) {
      this.#render();
      return;
    }
    this.#head.rest(this.#words);
  }

  /** render shows an answer. The first time, what decides is painted before what illustrates. */
  #render(): void {
    const first = !this.#record.classList.contains("told");
    this.#record.classList.add("told");
    this.#decide(this.#answer!, this.#shown!);
    if (first && !document.hidden) requestAnimationFrame(() => requestAnimationFrame(() => this.#illustrate()));
    else this.#illustrate();
  }

  #whole(): boolean {
    return this.#record.classList.contains("whole");
  }

  /** decide shows the verdict, the findings, and what they lack. */
  #decide(answer: Answer, build: Build): void {
    const findings = answer.findings ?? [];
    const words = this.#words;
    this.#head.update(answer, build, words);
    this.#questions.update(findings, build, this.#violations, words);
    this.#findings.update(findings, fact(answer, "clearance.drawing")?.picture?.dimensions ?? [], words);
  }

  /** illustrate shows the drawing, the arrangements, what is to buy, and what answered. */
  #illustrate(): void {
    const answer = this.#answer;
    const build = this.#shown;
    if (!answer || !build) return;
    this.#picture.update(answer, build, this.#words);
    this.#choice.update(
      fact(answer, "clearance.arrangement")?.arrangement as Arrangement | undefined,
      build,
      this.#words,
    );
    this.#purchases(fact(answer, "mounting.assembly")?.assembly?.purchases ?? []);
    this.#sign(answer);
    this.#record.classList.add("whole");
    this.#busy();
    this.#light();
  }

  #purchases(list: { what?: string; count?: number; price?: number }[]): void {
    this.#buy.hidden = list.length === 0;
    place(
      this.#buy,
      h("h2", { id: "own-buy" }, this.#words.say("buy")),
      h(
        "ul",
        null,
        list.map((p) =>
          h(
            "li",
            null,
            h("b", { class: "figure" }, `${p.count ?? 1} ×`),
            " ",
            h("bdi", null, p.what ?? ""),
            p.price != null && h("span", { class: "price" }, this.#words.number(p.price)),
          ),
        ),
      ),
    );
  }

  #sign(answer: Answer): void {
    const packs = answer.ruleset?.packs ?? [];
    const silent = packs.filter((p) => p.answered === false).map((p) => p.name);
    const parts = [this.#words.say("rules", { digest: (answer.ruleset?.digest ?? "").slice(0, 12) })];
    if (silent.length) parts.push(this.#words.say("unanswered", { packs: silent.join(", ") }));
    this.#foot.textContent = parts.join(" · ");
  }

  #point(names: string[], pinned: boolean): void {
    if (!pinned) this.#hovered = names;
    else {
      this.#pinned = names.join() === this.#pinned.join() ? [] : names;
      this.#picture.bring(this.#pinned);
    }
    this.#light();
  }

  #light(): void {
    const names = this.#hovered.length ? this.#hovered : this.#pinned;
    this.#picture.light(names, this.#pinned);
    this.#findings.light(names);
  }
}
