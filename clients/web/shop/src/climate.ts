// Fan speeds as sliders, and the forecast that follows them.

import type { Answer } from "../../panel/src/answer.js";
import { fact } from "../../panel/src/answer.js";
import { h, place, s } from "../../panel/src/dom.js";
import { fanOf, speedOf, withSpeeds, type Bench, type Item } from "./parts.js";
import type { Texts } from "./texts.js";

interface Span {
  nominal?: number;
  low?: number;
  high?: number;
}

/** Climate holds the sliders and the forecast's lines. */
export class Climate {
  #sliders = new Map<string, { input: HTMLInputElement; output: HTMLOutputElement }>();

  constructor(
    readonly fans: Element,
    readonly forecast: Element,
    readonly onSpeeds: (build: Bench) => void,
  ) {}

  /** offer shows a slider for every item with fans. */
  offer(build: Bench, texts: Texts, current: () => Bench): void {
    const turning = build.items.filter((i) => (fanOf(i.part)?.max_speed_rpm ?? 0) > 0);
    const before = [...this.#sliders.values()].map(({ input }) => `${input.id} ${input.max} ${input.lang}`).join();
    const now = turning.map((i) => `fan-${i.id} ${fanOf(i.part)!.max_speed_rpm} ${texts.language}`).join();
    if (before !== now) {
      this.#sliders.clear();
      place(
        this.fans,
        turning.map((item) => this.#slider(item, texts, current)),
      );
    }
    for (const item of turning) {
      const { input, output } = this.#sliders.get(item.id)!;
      input.value = String(speedOf(build, item));
      output.textContent = `${texts.number(Math.round(speedOf(build, item)))} 1/min`;
    }
  }

  #slider(item: Item, texts: Texts, current: () => Bench): HTMLElement {
    const fan = fanOf(item.part)!;
    const output = h("output", { for: `fan-${item.id}` });
    const input = h("input", {
      type: "range",
      id: `fan-${item.id}`,
      lang: texts.language,
      min: 0,
      max: fan.max_speed_rpm,
      step: 10,
      input: () => {
        // Below its least speed a fan stands still.
        const wish = Number(input.value);
        const least = fan.min_speed_rpm ?? 0;
        const speed = wish >= least ? wish : wish < least / 2 ? 0 : least;
        this.onSpeeds(withSpeeds(current(), [{ item: item.id, speed_rpm: speed }]));
      },
    });
    this.#sliders.set(item.id, { input, output });
    return h(
      "div",
      { class: "fan" },
      h(
        "label",
        { for: input.id },
        h("bdi", null, item.part.name ?? item.id),
        (item.count ?? 1) > 1 && ` × ${item.count}`,
      ),
      output,
      input,
    );
  }

  /** follow shows the forecast of an answer. */
  follow(answer: Answer, build: Bench, texts: Texts): void {
    const forecast: any = fact(answer, "thermal.forecast")?.["forecast"];
    if (!forecast?.level_dba && !forecast?.points?.length) {
      place(this.forecast, h("p", null, texts.say("unsolved", { reason: forecast?.reason ?? "–" })));
      return;
    }
    const sound = answer.findings?.find((f) => f.rule === "thermal.listener");
    const lines: [string, Span | undefined, string, number | undefined][] = [
      [texts.say("listener"), forecast.level_dba, "dB(A)", sound?.required?.nominal],
    ];
    for (const p of forecast.points ?? []) {
      const name = build.items.find((i) => i.id === p.item)?.part.name ?? p.item;
      if (p.temperature_c && p.limit_c !== undefined && ["die", "drive", "memory", "regulator"].includes(p.of))
        lines.push([`${name}, ${texts.say(p.of)}`, p.temperature_c, "°C", p.limit_c]);
    }
    lines.push([texts.say("air"), forecast.exhaust_rise_k, "K", undefined]);
    place(
      this.forecast,
      h(
        "table",
        null,
        h(
          "tbody",
          null,
          lines
            .filter(([, span]) => span)
            .map(([name, span, unit, limit]) => this.#line(name, span!, unit, limit, texts)),
        ),
      ),
    );
  }

  #line(name: string, span: Span, unit: string, limit: number | undefined, texts: Texts): HTMLTableRowElement {
    const value = span.nominal ?? 0;
    const over =
      limit !== undefined && value > limit ? "over" : limit !== undefined && (span.high ?? value) > limit ? "near" : "";
    return h(
      "tr",
      { class: over },
      h("th", { scope: "row" }, h("bdi", null, name)),
      h(
        "td",
        { class: "n" },
        `${texts.number(value)}\u00a0${unit}`,
        h("small", null, ` ${texts.number(span.low)}…${texts.number(span.high)}`),
      ),
      h(
        "td",
        null,
        limit !== undefined && bar(span, limit),
        h("small", null, limit !== undefined && `${texts.say("limit")} ${texts.number(limit)}\u00a0${unit}`),
      ),
    );
  }
}

/** bar shows a value with its range below a limit, which stands at four fifths. */
function bar(span: Span, limit: number): SVGElement {
  const x = (v: number) => Math.max(0, Math.min(100, (v / limit) * 80));
  return s(
    "svg",
    { class: "bar", viewBox: "0 0 100 10", preserveAspectRatio: "none", "aria-hidden": "true" },
    s("rect", {
      class: "range",
      x: x(span.low ?? 0),
      y: 3,
      width: Math.max(1, x(span.high ?? 0) - x(span.low ?? 0)),
      height: 4,
    }),
    s("path", { class: "base", d: "M0 9H100" }),
    s("path", { class: "value", d: `M${x(span.nominal ?? 0)} 1V9` }),
    s("path", { class: "limit", d: "M80 0V10" }),
  );
}
