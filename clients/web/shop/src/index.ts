// The demo shop: the archive's builds on the panel, with a basket whose parts can
// be swapped for what fits, and fans whose speeds can be tried.

import type { Answer } from "../../panel/src/answer.js";
import { h, place } from "../../panel/src/dom.js";
import type { SlipfitPanel } from "../../panel/src/element.js";
import { Climate } from "./climate.js";
import { freed, withPart, withSpeeds, type Bench, type Docket, type Item, type Part } from "./parts.js";
import { Shortlist } from "./shortlist.js";
import { Texts } from "./texts.js";

const find = <E extends Element>(selector: string): E => document.querySelector<E>(selector)!;

const panel = find<SlipfitPanel>("slipfit-panel");
const basket = find<HTMLUListElement>(".basket");
const view = find<HTMLFormElement>(".view");
const sheet = find<HTMLFormElement>(".sheet");

let dockets: Docket[] = [];
let parts: Promise<Part[]> | undefined; // asked for when the first answer is there, or somebody wants to swap
let docket: Docket;
let build: Bench;
let texts = new Texts("en");
let open: { id: string; list: Shortlist } | undefined;
let shown: { answer: Answer; build: Bench } | undefined;

const climate = new Climate(find(".fans"), find(".forecast"), (next) => change(next));

async function load<T>(address: string): Promise<T> {
  const response = await fetch(address);
  if (!response.ok) throw new Error(`${address}: ${response.status}`);
  return response.json();
}

const catalogue = (): Promise<Part[]> =>
  (parts ??= load<Part[]>("demo/parts.json").catch((error: Error) => {
    parts = undefined;
    throw error;
  }));

/** change puts another build on the bench and has the panel ask about it. */
function change(next: Bench): void {
  build = next;
  panel.build = next;
  draw();
}

function draw(): void {
  place(find(".story"), h("span", null, docket.shows), document.createTextNode(" "), h("small", null, docket.expect));
  place(basket, build.items.map(row));
  const amount = build.items.reduce((sum, i) => sum + (i.part.price?.amount ?? 0) * (i.count ?? 1), 0);
  find(".total").textContent = texts.say("total", {
    n: texts.money({ amount, currency: build.items.find((i) => i.part.price)?.part.price?.currency ?? "EUR" }),
  });
  find<HTMLButtonElement>(".again").hidden = JSON.stringify(build) === JSON.stringify(docket.build);
  climate.offer(build, texts, () => build);
}

function row(item: Item): HTMLLIElement {
  const unfolded = open?.id === item.id;
  return h(
    "li",
    { "data-item": item.id },
    h("span", { class: "role" }, item.id, (item.count ?? 1) > 1 && ` × ${item.count}`),
    h(
      "span",
      { class: "name" },
      h("bdi", null, item.part.name ?? item.part.id),
      " ",
      h("small", null, h("bdi", null, item.part.maker)),
    ),
    h("span", { class: "price" }, texts.money(item.part.price)),
    h(
      "button",
      {
        type: "button",
        class: "swap",
        "aria-expanded": String(unfolded),
        "aria-label": `${texts.say(unfolded ? "close" : "swap")}: ${item.part.name ?? item.id}`,
        click: () => unfold(item),
      },
      texts.say(unfolded ? "close" : "swap"),
    ),
    unfolded && open!.list.root,
  );
}

function unfold(item: Item): void {
  const again = open?.id === item.id;
  open?.list.stop();
  open = undefined;
  if (!again) {
    open = {
      id: item.id,
      list: new Shortlist(
        () => freed(build, item.id),
        item,
        catalogue,
        texts,
        (part) => take(item, part),
      ),
    };
    void open.list.ask();
  }
  draw();
  basket.querySelector<HTMLElement>(`[data-item="${item.id}"] .swap`)?.focus();
}

function take(item: Item, part: Part): void {
  open?.list.stop();
  open = undefined;
  change(withPart(build, item.id, part));
  basket.querySelector<HTMLElement>(`[data-item="${item.id}"] .swap`)?.focus();
}

/** named is the docket that the address names, or the first. */
const named = (): Docket => dockets.find((d) => d.build.id === location.search.slice(1)) ?? dockets[0]!;

/** turn puts the docket on the bench that the address names. */
function turn(): void {
  docket = named();
  open = undefined;
  for (const a of document.querySelectorAll<HTMLAnchorElement>(".dockets a")) a.toggleAttribute("aria-current", false);
  const link = [...document.querySelectorAll(".dockets a")].find(
    (a) => a.getAttribute("href") === `?${docket.build.id}`,
  );
  link?.setAttribute("aria-current", "page");
  requestAnimationFrame(() => link?.scrollIntoView({ block: "nearest", inline: "nearest" }));
  change(structuredClone(docket.build));
}

/** go turns without loading the page again, unless another tab is asked for. */
function go(event: MouseEvent): void {
  if (event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  history.pushState(null, "", (event.currentTarget as HTMLAnchorElement).href);
  turn();
}

function look(): void {
  const { language, scheme } = Object.fromEntries(new FormData(view)) as { language: string; scheme: string };
  texts = new Texts(language);
  document.documentElement.lang = language;
  document.documentElement.dataset["scheme"] = scheme;
  panel.lang = language;
  scheme ? panel.setAttribute("scheme", scheme) : panel.removeAttribute("scheme");
  texts.apply(document);
  find(".dockets").setAttribute("aria-label", texts.say("machines"));
  open?.list.stop();
  open = undefined;
  if (docket) draw();
  if (shown) climate.follow(shown.answer, shown.build, texts);
}

async function settle(): Promise<void> {
  const note = find<HTMLElement>(".quiet-note");
  const response = await fetch("v1/check", {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ build, wants: ["thermal.settings"] }),
  });
  const answer: Answer = await response.json();
  const settings: any = answer.facts?.find((f) => f.name === "thermal.settings")?.["settings"];
  const speeds = (settings?.speeds ?? []).map((s: any) => ({
    item: String(s.item),
    speed_rpm: Math.round(s.speed_rpm ?? 0),
  }));
  note.textContent = texts.say(settings?.reachable === false || !speeds.length ? "nohold" : "hold");
  if (settings?.reachable !== false && speeds.length) change(withSpeeds(build, speeds));
}

panel.wants = ["thermal.forecast"];
panel.addEventListener("slipfit-change", (e) => {
  build = (e as CustomEvent).detail.build;
  draw();
});
panel.addEventListener("slipfit-answer", (e) => {
  shown = (e as CustomEvent).detail;
  climate.follow(shown!.answer, shown!.build, texts);
  catalogue().catch(() => {}); // whoever swaps asks again
  const jump = find<HTMLAnchorElement>(".jump");
  jump.hidden = false;
  jump.textContent = texts.say("jump", { verdict: (shown!.answer.verdict ?? "").replace("VERDICT_", "") });
});
view.addEventListener("change", look);
sheet.addEventListener(
  "submit",
  () => (sheet.querySelector<HTMLInputElement>("[name=check]")!.value = JSON.stringify({ build })),
);
find(".again").addEventListener("click", () => change(structuredClone(docket.build)));
find(".quiet").addEventListener("click", () =>
  settle().catch((error: Error) => (find(".quiet-note").textContent = error.message)),
);
addEventListener("popstate", turn);

async function start(): Promise<void> {
  dockets = await load<Docket[]>("demo/builds.json");
  // The question is on its way before the bench is laid out.
  panel.build = named().build;
  await undefined;
  place(
    find(".dockets ul"),
    dockets.map((d) =>
      h(
        "li",
        null,
        h(
          "a",
          { href: `?${d.build.id}`, click: go },
          h("b", null, d.build.title ?? d.build.id),
          h("small", null, d.build.id),
        ),
      ),
    ),
  );
  look();
  turn();
  find("main").classList.remove("waiting");
}

start().catch((error: Error) => {
  find(".story").textContent = texts.say("unloaded", { reason: error.message });
});
