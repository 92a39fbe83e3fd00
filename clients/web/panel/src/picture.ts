// The drawing on the panel: its views, and shapes that are pointed out or pointed at.

import { fact, type Answer, type Build, type Dimension } from "./answer.js";
import { h, place, s } from "./dom.js";
import { isMark, markOf, stated } from "./dimensions.js";
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
  #owners = new Map<string, string[]>(); // items by the shape's name in the arrangement, a dimension by its mark
  #enclosure = "";
  #frame = h("div", { class: "frame" });
  #views = h("div", { class: "views", role: "group" });
  #items = h("div", { class: "chips", role: "group" });
  #chips = new Map<string, HTMLButtonElement>();
  #offered = "";
  #heading = h("h2", { id: "own-drawing" });

  constructor(readonly onPoint: (names: string[], pinned: boolean) => void) {
    this.root.setAttribute("aria-labelledby", "own-drawing");
    place(this.root, this.#heading, this.#frame, this.#views, this.#items);
    this.#frame.addEventListener("pointerover", (e) => e.pointerType === "mouse" && onPoint(this.#namesAt(e), false));
    this.#frame.addEventListener("pointerleave", (e) => e.pointerType === "mouse" && onPoint([], false));
    this.#frame.addEventListener("click", (e) => onPoint(this.#namesAt(e), true));
  }

  /** update takes over what an answer draws; items bear the names that they have in the build. */
  update(answer: Answer, build: Build, words: Words): void {
    this.#heading.textContent = words.say("drawing");
    const arrangement = fact(answer, "clearance.arrangement")?.arrangement;
    this.#enclosure = build.items?.find((i) => i.part?.["chassis"])?.id ?? "";
    this.#owners = new Map(arrangement?.boxes?.map((b) => [b.shape ?? "", [b.item ?? ""]]));
    arrangement?.routes?.forEach((r, i) => this.#owners.set(`cable-${i + 1}`, [r.from ?? "", r.to ?? ""]));
    const picture = fact(answer, "clearance.drawing")?.picture;
    const dimensions = picture?.dimensions ?? [];
    for (const d of dimensions) this.#owners.set(d.element ?? "", [markOf(d)]);
    this.#draw(picture?.svg ?? "", dimensions, words);
    this.#offerViews(words);
    const told = new Set(answer.findings?.flatMap((f) => stated(f, dimensions)));
    const name = (id: string | undefined) => String(build.items?.find((i) => i.id === id)?.part?.["name"] ?? id ?? "");
    this.#offer(
      [
        ...(build.items ?? [])
          .filter((i) => i.id && arrangement?.boxes?.some((b) => b.item === i.id))
          .map((i) => ({ name: i.id!, text: name(i.id), more: "" })),
        ...dimensions
          .filter((d) => told.has(d))
          .map((d) => ({
            name: markOf(d),
            text: `↔ ${words.number(d.length_mm ?? 0)}\u00a0mm`,
            more: [d.first_item, d.second_item].filter(Boolean).map(name).join(" ↔ "),
          })),
      ],
      words,
    );
  }

  /** light points out dimensions, and shapes of items; of the enclosure only where nothing else is meant. */
  light(names: string[], pinned: string[]): void {
    for (const [name, chip] of this.#chips) {
      chip.classList.toggle("lit", names.includes(name));
      chip.setAttribute("aria-pressed", String(pinned.includes(name)));
    }
    const seen = names.map((n) => this.#viewOf(n));
    for (const b of this.#buttons()) b.classList.toggle("lit", seen.includes(b.dataset["view"]));
    this.#lit?.remove();
    if (!this.#picture || names.length === 0) return;
    const others = names.filter((n) => n !== this.#enclosure);
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

  #namesAt(event: Event): string[] {
    const shape = (event.target as Element).closest("[id]");
    return (shape && this.#ownersOf(shape))?.filter(Boolean) ?? [];
  }

  #ownersOf(shape: Element): string[] | undefined {
    return this.#owners.get(shape.id) ?? this.#owners.get(shape.id.replace(/\.(side|top|front)$/, ""));
  }

  #draw(svg: string, dimensions: Dimension[], words: Words): void {
    if (svg && svg === this.#svg) return;
    this.#svg = svg;
    const taken = svg ? takeOver(svg) : undefined;
    this.#picture = taken?.picture;
    this.styles.replaceSync(taken?.styles ?? "");
    for (const d of dimensions) this.#grip(d);
    this.#picture?.removeAttribute("width");
    this.#picture?.removeAttribute("height");
    place(this.#frame, this.#picture ?? h("p", { class: "empty" }, words.say(svg ? "bad-drawing" : "no-drawing")));
    this.#look();
  }

  /** grip makes a dimension's fine lines easy to point at. */
  #grip(d: Dimension): void {
    const element = this.#picture?.querySelector(`[id="${CSS.escape(d.element ?? "")}"]`);
    const lines = [...(element?.querySelectorAll("path") ?? [])].map((path) => path.getAttribute("d"));
    element?.append(s("path", { class: "grip", d: lines.join("") }));
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

  /** turn shows another view. */
  #turn(view: string): void {
    this.#view = view;
    for (const b of this.#buttons()) b.setAttribute("aria-pressed", String(b.dataset["view"] === view));
    this.#look();
  }

  #buttons(): HTMLElement[] {
    return [...this.#views.children] as HTMLElement[];
  }

  /** viewOf is the one view that a dimension is drawn in. */
  #viewOf(name: string): string | undefined {
    const element = isMark(name) && this.#picture?.querySelector(`[id="${CSS.escape(name.slice(1))}"]`);
    return element ? views.find((v) => element.closest(`[id="${v}"]`)) : undefined;
  }

  /** bring turns to the view in which a dimension among names can be seen. */
  bring(names: string[]): void {
    const seen = names.map((n) => this.#viewOf(n)).filter((v) => v !== undefined);
    if (seen.length && this.#view !== "sheet" && !seen.includes(this.#view)) this.#turn(seen[0]!);
  }

  #offerViews(words: Words): void {
    this.#views.hidden = !this.#picture;
    this.#views.setAttribute("aria-label", words.say("drawing"));
    const offered = views.filter((v) => v === "sheet" || this.#picture?.querySelector(`[id="${v}"]`));
    const shown = [...this.#views.children].map((b) => b.textContent).join();
    if (shown === offered.map((v) => words.say(v)).join()) return;
    place(
      this.#views,
      offered.map((v) =>
        h(
          "button",
          { type: "button", "data-view": v, "aria-pressed": String(v === this.#view), click: () => this.#turn(v) },
          words.say(v),
        ),
      ),
    );
  }

  /** offer puts a button for each thing that can be pointed out. */
  #offer(things: Thing[], words: Words): void {
    this.#items.hidden = things.length === 0;
    this.#items.setAttribute("aria-label", words.say("light"));
    const asked = JSON.stringify(things);
    if (asked === this.#offered) return;
    this.#offered = asked;
    this.#chips = new Map(
      things.map(({ name, text, more }) => {
        const point = (on: boolean) => () => this.onPoint(on ? [name] : [], false);
        const chip = h(
          "button",
          {
            type: "button",
            [isMark(name) ? "data-dimension" : "data-item"]: name.replace("#", ""),
            "aria-pressed": "false",
            title: more || null,
            click: () => this.onPoint([name], true),
            focus: point(true),
            blur: point(false),
            pointerenter: point(true),
            pointerleave: point(false),
          },
          h("bdi", null, text),
        );
        return [name, chip];
      }),
    );
    place(this.#items, [...this.#chips.values()]);
  }
}

/** Thing is what can be pointed out: its name, what it is called, and what is between what. */
interface Thing {
  name: string;
  text: string;
  more: string;
}
