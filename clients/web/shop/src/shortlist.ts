// What fits in one role, best first, and why the rest does not.

import type { Build, Finding, Verdict } from "../../panel/src/answer.js";
import { h, place } from "../../panel/src/dom.js";
import { alike, type Item, type Part } from "./parts.js";
import type { Texts } from "./texts.js";

interface Candidate {
  place?: string | number;
  id?: string;
  name?: string;
  verdict?: Verdict;
  finding?: Finding;
  margin_share?: number;
  price?: { amount?: number; currency?: string };
  sound_dba?: number;
  refusal?: { reason?: string };
}

interface Shortlisted {
  fitting?: Candidate[];
  rejected?: Candidate[];
}

const orders = ["margin", "price", "sound"] as const;

/** Shortlist is the list for one item of the basket. */
export class Shortlist {
  readonly root = h("div", { class: "shortlist" });
  #order: (typeof orders)[number] = "margin";
  #way: AbortController | undefined;
  #lists = h("div", { class: "lists", "aria-live": "polite" });

  constructor(
    readonly build: () => Build,
    readonly item: Item,
    readonly parts: () => Promise<Part[]>,
    readonly texts: Texts,
    readonly onTake: (part: Part) => void,
  ) {
    place(
      this.root,
      h(
        "fieldset",
        null,
        h("legend", null, texts.say("order")),
        orders.map((order) =>
          h(
            "label",
            null,
            h("input", {
              type: "radio",
              name: `order-${item.id}`,
              checked: order === this.#order,
              change: () => {
                this.#order = order;
                void this.ask();
              },
            }),
            texts.say(order),
          ),
        ),
      ),
      this.#lists,
    );
  }

  /** ask asks the service which of the parts that could take the place fit. */
  async ask(): Promise<void> {
    this.#way?.abort();
    const way = (this.#way = new AbortController());
    if (!this.#lists.hasChildNodes()) place(this.#lists, h("p", null, this.texts.say("ask")));
    try {
      const candidates = (await this.parts()).filter((p) => alike(p, this.item.part));
      const plan = {
        build: this.build(),
        item: this.item.id,
        order: `SHORTLIST_ORDER_${this.#order.toUpperCase()}`,
        most: 100,
        rejected: true,
      };
      const response = await fetch("v1/shortlist", {
        method: "POST",
        headers: { "Content-Type": "application/json" },
        body: JSON.stringify({ plan, candidates }),
        signal: way.signal,
      });
      const answer = await response.json();
      if (!response.ok) throw new Error(answer.detail ?? answer.message ?? response.statusText);
      this.#show(answer, candidates);
    } catch (error) {
      if (!way.signal.aborted)
        place(this.#lists, h("p", null, this.texts.say("failed", { reason: (error as Error).message })));
    }
  }

  /** stop gives up what is on its way. */
  stop(): void {
    this.#way?.abort();
  }

  #show({ fitting = [], rejected = [] }: Shortlisted, candidates: Part[]): void {
    const t = this.texts;
    place(
      this.#lists,
      fitting.length
        ? h("h3", null, t.say("fitting", { n: fitting.length }))
        : h("p", null, t.say("none", { n: candidates.length })),
      h(
        "ol",
        { class: "fits" },
        fitting.map((c) => this.#fit(c, candidates)),
      ),
      rejected.length > 0 &&
        h(
          "details",
          null,
          h("summary", null, t.say("rejected", { n: rejected.length })),
          h(
            "ul",
            { class: "rejected" },
            rejected.map((c) => this.#miss(c, candidates)),
          ),
        ),
    );
  }

  /** One that does not fit can be taken all the same: a build is mended part by part. */
  #miss(c: Candidate, candidates: Part[]): HTMLLIElement {
    const part = candidates[Number(c.place ?? 0)];
    const name = c.name ?? c.id;
    return h(
      "li",
      null,
      h("b", null, h("bdi", null, name)),
      part?.id !== this.item.part.id &&
        h(
          "button",
          {
            type: "button",
            "aria-label": `${this.texts.say("anyway")}: ${name}`,
            click: () => part && this.onTake(part),
          },
          this.texts.say("anyway"),
        ),
      h("span", null, h("bdi", null, c.finding?.summary?.text ?? c.refusal?.reason)),
    );
  }

  #fit(c: Candidate, candidates: Part[]): HTMLLIElement {
    const t = this.texts;
    const part = candidates[Number(c.place ?? 0)];
    const here = part?.id === this.item.part.id;
    return h(
      "li",
      null,
      h(
        "button",
        {
          type: "button",
          class: c.verdict === "VERDICT_MARGINAL" ? "tight" : "",
          "aria-current": here && "true",
          click: () => part && this.onTake(part),
        },
        h("b", null, h("bdi", null, c.name ?? c.id)),
        h("span", { class: "price" }, t.money(c.price)),
        h(
          "span",
          { class: "why" },
          here && `${t.say("here")} · `,
          c.sound_dba !== undefined && `${t.number(c.sound_dba)}\u00a0dB(A) · `,
          h("bdi", null, c.finding?.summary?.text),
        ),
      ),
    );
  }
}
