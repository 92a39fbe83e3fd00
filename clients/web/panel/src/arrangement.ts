// The choice among the arrangements in which a build fits.

import type { Arrangement, Build, Fact, Seat } from "./answer.js";
import { h, place } from "./dom.js";
import type { Words } from "./words.js";

/** pinned is a build with all choices of an arrangement fixed, or with none. */
export function pinned(build: Build, chosen: Arrangement | undefined): Build {
  const copy = structuredClone(build);
  delete copy.arrangement;
  if (!chosen) return copy;
  // A placement has a seat's choices by the same names, and not what follows from them.
  const placements = (chosen.seats ?? []).map((seat) => {
    const choice: Seat = { ...seat };
    for (const name of ["placed", "panel", "guard"] as const) delete choice[name];
    return choice;
  });
  copy.arrangement = { ...(chosen.layout !== undefined && { layout: chosen.layout }), placements };
  return copy;
}

/** Choice offers the arrangements of a build. It asks for them when it is opened. */
export class Choice {
  readonly root = h("section", { class: "choice", part: "arrangement", "aria-labelledby": "own-arrangement" });
  #heading = h("h2", { id: "own-arrangement" });
  #now = h("p");
  #fold = h("details");
  #open = h("summary");
  #body = h("div");
  #asked = "";

  constructor(
    readonly ask: (build: Build) => Promise<Fact["ranking"]>,
    readonly onChoice: (build: Build) => void,
  ) {
    place(this.#fold, this.#open, this.#body);
    place(this.root, this.#heading, this.#now, this.#fold);
    this.root.hidden = true;
  }

  /** update tells the arrangement that a build is judged in. */
  update(judged: Arrangement | undefined, build: Build, words: Words): void {
    this.root.hidden = !judged?.seats?.length;
    this.#heading.textContent = words.say("arrangement");
    const margin = judged?.margin_mm;
    place(
      this.#now,
      h("b", null, h("bdi", null, layoutName(build, judged?.layout))),
      margin != null &&
        h("span", null, " · ", h("bdi", null, words.say("margin.of", { n: `${words.number(margin)}\u00a0mm` }))),
    );
    this.#open.textContent = words.say("choose");
    this.#fold.ontoggle = () => void this.#offer(build, words);
    void this.#offer(build, words);
  }

  async #offer(build: Build, words: Words): Promise<void> {
    if (!this.#fold.open) return;
    const free = pinned(build, undefined);
    const question = JSON.stringify(free) + JSON.stringify(build.arrangement ?? null) + words.tag;
    if (question === this.#asked) return;
    this.#asked = question;
    if (!this.#body.hasChildNodes()) place(this.#body, h("p", { class: "empty" }, words.say("asking")));
    const ranking = await this.ask(free).catch(() => undefined);
    if (this.#asked !== question) return;
    if (!ranking) {
      this.#asked = "";
      return;
    }
    const list = ranking.arrangements?.filter((a) => a.feasible !== false) ?? [];
    const varying = varies(list);
    const present = JSON.stringify(build.arrangement?.placements ?? null);
    const offer = (label: (Node | string)[], chosen: Arrangement | undefined, on: boolean) =>
      h(
        "label",
        null,
        h("input", {
          type: "radio",
          name: "own-arrangement",
          checked: on,
          change: () => this.onChoice(pinned(build, chosen)),
        }),
        h("span", null, ...label),
      );
    const choices = list.map((a) => ({ a, on: JSON.stringify(pinned(build, a).arrangement!.placements) === present }));
    const focus = this.#body.contains(document.activeElement) || this.#body.matches(":focus-within");
    const asBefore = build.arrangement && !choices.some((c) => c.on);
    place(
      this.#body,
      h("p", null, words.count("feasible", Number(ranking.feasible_count ?? list.length))),
      h(
        "div",
        { class: "arrangements", role: "radiogroup", "aria-labelledby": "own-arrangement" },
        offer([words.say("free")], undefined, !build.arrangement),
        asBefore && offer([words.say("arranged")], undefined, true),
        choices.map(({ a, on }) =>
          offer(
            [
              h("bdi", null, layoutName(build, a.layout)),
              ...(a.margin_mm != null ? [` · ${words.number(a.margin_mm)}\u00a0mm`] : []),
              ...seats(a, varying, build, words),
            ],
            a,
            on,
          ),
        ),
      ),
    );
    if (focus) this.#body.querySelector<HTMLElement>("input:checked")?.focus();
  }
}

function layoutName(build: Build, layout: string | undefined): string {
  const layouts: any[] = build.items?.find((i) => i.part?.["chassis"])?.part?.["chassis"].layouts ?? [];
  return layouts.find((l) => l.id === layout)?.title ?? layout ?? "";
}

const seatKey = (x: Seat): string => JSON.stringify([x.mount, x.pose, x.offsets_mm, x.flow, x.side, x.position]);

/** varies tells the items that do not go to the same place in all arrangements. */
function varies(list: Arrangement[]): Set<string> {
  const places = new Map<string, Set<string>>();
  for (const a of list)
    for (const x of a.seats ?? []) places.set(x.item ?? "", (places.get(x.item ?? "") ?? new Set()).add(seatKey(x)));
  return new Set([...places].filter(([, where]) => where.size > 1).map(([item]) => item));
}

function seats(a: Arrangement, varying: Set<string>, build: Build, words: Words): HTMLElement[] {
  const said = (a.seats ?? [])
    .filter((x) => varying.has(x.item ?? ""))
    .map((x) => {
      const name = build.items?.find((i) => i.id === x.item)?.part?.["name"] ?? x.item;
      const more = [
        x.offsets_mm?.some((o) => o) &&
          `${words.say("at")} ${x.offsets_mm.map((o) => words.number(o)).join(" / ")}\u00a0mm`,
        x.pose && `${words.say("pose")} ${x.pose + 1}`,
        x.flow === "FLOW_INTAKE" ? words.say("intake") : x.flow === "FLOW_EXHAUST" && words.say("exhaust"),
      ].filter(Boolean);
      return h(
        "li",
        null,
        h("bdi", null, String(name)),
        ": ",
        h("bdi", null, x.mount ?? ""),
        more.length > 0 && `, ${more.join(", ")}`,
      );
    });
  return said.length ? [h("ul", null, said)] : [];
}
