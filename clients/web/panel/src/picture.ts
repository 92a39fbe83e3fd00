// The drawing on the panel: its views, and shapes that are pointed out or pointed at.

import { fact, type Answer, type Build } from "./answer.js";
import { h, place, s } from "./dom.js";
import { takeOver } from "./drawing.js";
import type { Words } from "./words.js";

const views = ["section-side", "section-top", "section-front", "sheet"];
const edge = 4; // mm of the sheet that stay around a view

/** Picture shows an answer's drawing. */
export class Picture {
  readonly root = h("section", { class: "picture", part: "drawing" });
  readonly styles = new CSSStyleSheet();
  #view = views[0]!;
  #svg = "";
  #picture: SVGSVGElement | undefined;
  #lit: SVGElement | undefined;
  #owners = new Map<string, string[]>(); // items by the shape's name in the arrangement
  #enclosure = "";
  #frame = h("div", { class: "frame" });
  #views = h("div", { class: "views", role: "group" });
  #items = h("div", { class: "chips", role: "group" });
  #chips = new Map<string, HTMLButtonElement>();
  #heading = h("h2", { id: "own-drawing" });

  constructor(readonly onPoint: (items: string[], pinned: boolean) => void) {
    this.root.setAttribute("aria-labelledby", "own-drawing");
    place(this.root, this.#heading, this.#frame, this.#views, this.#items);
    this.#frame.addEventListener("pointerover", (e) => e.pointerType === "mouse" && onPoint(this.#itemsAt(e), false));
    this.#frame.addEventListener("pointerleave", (e) => e.pointerType === "mouse" && onPoint([], false));
    this.#frame.addEventListener("click", (e) => onPoint(this.#itemsAt(e), true));
  }

  /** update takes over what an answer draws; items bear the names that they have in the build. */
  update(answer: Answer, build: Build, words: Words): void {
    this.#heading.textContent = words.say("drawing");
    const arrangement = fact(answer, "clearance.arrangement")?.arrangement;
    this.#enclosure = build.items?.find((i) => i.part?.["chassis"])?.id ?? "";
    this.#owners = new Map(arrangement?.boxes?.map((b) => [b.shape ?? "", [b.item ?? ""]]));
    arrangement?.routes?.forEach((r, i) => this.#owners.set(`cable-${i + 1}`, [r.from ?? "", r.to ?? ""]));
    this.#draw(fact(answer, "clearance.drawing")?.picture?.svg ?? "", words);
    this.#offerViews(words);
    this.#offerItems(build, arrangement?.boxes?.map((b) => b.item ?? "") ?? [], words);
  }

  /** light points out the shapes of items; of the enclosure only where nothing else is meant. */
  light(items: string[], pinned: string[]): void {
    for (const [id, chip] of this.#chips) {
      chip.classList.toggle("lit", items.includes(id));
      chip.setAttribute("aria-pressed", String(pinned.includes(id)));
    }
    this.#lit?.remove();
    if (!this.#picture || items.length === 0) return;
    const others = items.filter((i) => i !== this.#enclosure);
    const wanted = others.length ? others : [""];
    this.#lit = s("g", { class: "lit" });
    for (const shape of this.#picture.querySelectorAll("[id]")) {
      const owners = this.#ownersOf(shape);
      if (
        !owners?.length ||
        !(owners.length > 1 ? owners.every((o) => wanted.includes(o)) : wanted.includes(owners[0]!))
      )
        continue;
      const copy = shape.cloneNode(true) as Element;
      for (const element of [copy, ...copy.querySelectorAll("*")])
        ["id", "class", "fill", "stroke"].forEach((name) => element.removeAttribute(name));
      this.#lit.append(copy);
    }
    this.#picture.append(this.#lit);
  }

  #itemsAt(event: Event): string[] {
    const shape = (event.target as Element).closest("[id]");
    return (shape && this.#ownersOf(shape))?.filter(Boolean) ?? [];
  }

  #ownersOf(shape: Element): string[] | undefined {
    return this.#owners.get(shape.id) ?? this.#owners.get(shape.id.replace(/\.(side|top|front)$/, ""));
  }

  #draw(svg: string, words: Words): void {
    if (svg && svg === this.#svg) return;
    this.#svg = svg;
    const taken = svg ? takeOver(svg) : undefined;
    this.#picture = taken?.picture;
    this.styles.replaceSync(taken?.styles ?? "");
    this.#picture?.removeAttribute("width");
    this.#picture?.removeAttribute("height");
    place(this.#frame, this.#picture ?? h("p", { class: "empty" }, words.say(svg ? "bad-drawing" : "no-drawing")));
    this.#look();
  }

  #look(): void {
    const part = this.#picture?.querySelector<SVGGraphicsElement>(`[id="${this.#view}"]`);
    const sheet = this.#picture?.dataset["sheet"] ?? this.#picture?.getAttribute("viewBox") ?? "";
    if (!this.#picture) return;
    this.#picture.dataset["sheet"] = sheet;
    this.#picture.classList.remove("one"); // what is hidden has no box
    for (const child of this.#picture.children) child.classList.toggle("shown", child === part);
    const box = part?.getBBox();
    this.#picture.classList.toggle("one", !!box?.width);
    this.#picture.setAttribute(
      "viewBox",
      box?.width ? `${box.x - edge} ${box.y - edge} ${box.width + 2 * edge} ${box.height + 2 * edge}` : sheet,
    );
  }

  #offerViews(words: Words): void {
    this.#views.hidden = !this.#picture;
    this.#views.setAttribute("aria-label", words.say("drawing"));
    const offered = views.filter((v) => v === "sheet" || this.#picture?.querySelector(`[id="${v}"]`));
    const press = (view: string) => {
      this.#view = view;
      for (const b of this.#views.children)
        b.setAttribute("aria-pressed", String((b as HTMLElement).dataset["view"] === view));
      this.#look();
    };
    const shown = [...this.#views.children].map((b) => b.textContent).join();
    if (shown === offered.map((v) => words.say(v)).join()) return;
    place(
      this.#views,
      offered.map((v) =>
        h(
          "button",
          { type: "button", "data-view": v, "aria-pressed": String(v === this.#view), click: () => press(v) },
          words.say(v),
        ),
      ),
    );
  }

  #offerItems(build: Build, drawn: string[], words: Words): void {
    const items = build.items?.filter((i) => i.id && drawn.includes(i.id)) ?? [];
    this.#items.hidden = items.length === 0;
    this.#items.setAttribute("aria-label", words.say("light"));
    const text = (i: (typeof items)[number]) => `${i.part?.["name"] ?? i.id}`;
    if (
      [...this.#chips.keys()].join() === items.map((i) => i.id).join() &&
      items.every((i) => this.#chips.get(i.id!)!.textContent === text(i))
    )
      return;
    this.#chips = new Map(
      items.map((i) => {
        const point = (on: boolean) => () => this.onPoint(on ? [i.id!] : [], false);
        const chip = h(
          "button",
          {
            type: "button",
            "data-item": i.id,
            "aria-pressed": "false",
            click: () => this.onPoint([i.id!], true),
            focus: point(true),
            blur: point(false),
            pointerenter: point(true),
            pointerleave: point(false),
          },
          h("bdi", null, text(i)),
        );
        return [i.id!, chip];
      }),
    );
    place(this.#items, [...this.#chips.values()]);
  }
}
