// The panel's own words, and the service's messages in other languages. A message
// without a template here is shown in the service's own English.

import type { Message, Quantity } from "./answer.js";
import { h, type Child } from "./dom.js";
import { english } from "./english.js";
import { primaryOf, textsOf, type Texts } from "./languages.js";

/** Phrase is a form of words that rules use within messages, with its text. */
interface Phrase {
  form: RegExp;
  text: string;
  letters: string[]; // of what the form captures, in order
}

const longest = 1000; // letters of a phrase; rules write no longer ones

const isNumber = (letter: string): boolean => "nm".includes(letter);

/** captured is what a letter in a phrase stands for: a number, an id, or anything. */
const captured = (letter: string): string =>
  isNumber(letter) ? "([\\d.]+)" : "fgh".includes(letter) ? "([a-z0-9.-]+)" : "(.+?)";

const phrasesOf = (texts: Texts): Phrase[] =>
  Object.entries(texts)
    .filter(([key]) => key.startsWith("phrase."))
    .map(([key, text]) => {
      const letters: string[] = [];
      const form = key
        .slice(7)
        .split(/\{(\w)\}/)
        .map((piece, i) =>
          i % 2 ? (letters.push(piece), captured(piece)) : piece.replace(/[.*+?^${}()|[\]\\]/g, "\\$&"),
        );
      return { form: new RegExp(`^${form.join("")}$`), text, letters };
    });

/** Words are the texts of one language. */
export class Words {
  readonly #texts: Texts;
  readonly #figures: Intl.NumberFormat[] = []; // by their digits, made when they are needed
  #phrases: Phrase[] | undefined;
  readonly #said = new Map<string, string>(); // what phrases have come to
  readonly language: string;

  constructor(readonly tag: string) {
    const primary = primaryOf(tag);
    const texts = textsOf(primary);
    this.language = texts ? primary : "en";
    this.#texts = texts ?? english;
  }

  /** say gives one of the panel's own texts, filled in. */
  say(key: string, values: Record<string, string | number> = {}): string {
    const text = this.#texts[key] ?? english[key] ?? key;
    return text.replace(/\{(\w+)\}/g, (_, name: string) => String(values[name] ?? ""));
  }

  /** count is say for a number of things, with the language's own form for one. */
  count(key: string, n: number): string {
    return this.say((this.#texts[`${key}.${n}`] ?? english[`${key}.${n}`]) ? `${key}.${n}` : key, { n });
  }

  /** warm makes what takes long to make, while there is nothing else to do. */
  warm(): void {
    for (const figure of [10, 1]) this.number(figure);
  }

  /** number writes a figure with as many digits as it deserves. */
  number(value: number, signed = false): string {
    const size = Math.abs(value);
    const text = this.#figure(size >= 1000 ? 0 : size >= 10 ? 1 : size >= 0.1 || size === 0 ? 2 : 3).format(size);
    return (value < 0 && /[1-9]/.test(text) ? "−" : signed && /[1-9]/.test(text) ? "+" : "") + text;
  }

  #figure(maximumFractionDigits: number): Intl.NumberFormat {
    const options = { maximumFractionDigits, useGrouping: "min2" } as Intl.NumberFormatOptions;
    const make = (tag: string) => new Intl.NumberFormat(tag, options);
    try {
      return (this.#figures[maximumFractionDigits] ??= make(this.tag));
    } catch {
      return (this.#figures[maximumFractionDigits] = make("en")); // the tag is none
    }
  }

  /**
   * phrase gives what a rule puts into a message as a word: a name as it is, and what
   * is part of the sentence in this language, where there is a text for it.
   */
  phrase(word: string): string {
    const known = this.#said.get(word);
    if (known !== undefined) return known;
    const said = word.length > longest ? word : this.#phrase(word);
    this.#said.set(word, said);
    return said;
  }

  #phrase(word: string): string {
    for (const { form, text, letters } of (this.#phrases ??= phrasesOf(this.#texts))) {
      const found = form.exec(word);
      if (!found) continue;
      return text.replace(/\{(\w)\}/g, (_, letter: string) => {
        const part = found[letters.indexOf(letter) + 1] ?? "";
        return isNumber(letter) ? this.number(Number(part)) : this.phrase(part);
      });
    }
    return word;
  }

  /** unit writes a unit as print has it. */
  unit(unit: string | undefined): string {
    const text = (unit ?? "").replace("m3/", "m³/").replace("cm2", "cm²").replace("N.m", "N·m");
    return text === "" ? "" : `\u00a0${text}`;
  }

  /** quantity writes a number with its range and unit, or a word. */
  quantity(q: Quantity | undefined, range = true, signed = false): Child {
    if (!q) return "–";
    if (q.word !== undefined) return h("bdi", null, this.phrase(q.word));
    if (q.nominal === undefined) return "–";
    const { low = q.nominal, high = q.nominal } = q;
    const wide = range && this.number(low) !== this.number(high);
    return h(
      "span",
      { class: "figure" },
      this.number(q.nominal, signed),
      wide && h("span", { class: "range" }, ` (${this.number(low)}…${this.number(high)})`),
      this.unit(q.unit),
    );
  }

  /**
   * message writes one of the service's messages. What it is filled with is set
   * apart from the sentence, so that no name can turn the sentence round.
   */
  message(m: Message | undefined): Child {
    if (!m) return null;
    const template = this.language === "en" ? undefined : this.#texts[m.key ?? ""];
    const values = m.arguments ?? [];
    if (template === undefined) {
      const names = values
        .flatMap((v) => v.value?.word ?? [])
        .filter((word) => word !== "")
        .sort((a, b) => b.length - a.length);
      return h("span", this.language === "en" ? null : { lang: "en" }, h("bdi", null, apart(m.text ?? "", names)));
    }
    return template.split(/\{(#?\w+)\}/).map((piece, i) => {
      if (i % 2 === 0) return piece;
      // A word that is a figure is marked, since versions of firmware look like one.
      const value = values.find((v) => v.name === piece.replace("#", ""))?.value;
      if (piece.startsWith("#") && value?.word) return this.number(Number(value.word));
      return value ? this.quantity(value, false) : piece;
    });
  }
}

/** apart sets each name that stands in a text into an element of its own. */
function apart(text: string, names: string[]): Child[] {
  const name = names.find((n) => text.includes(n));
  if (name === undefined) return [text];
  return text.split(name).flatMap((piece, i) => [
    i > 0 && h("bdi", null, name),
    apart(
      piece,
      names.filter((n) => n !== name),
    ),
  ]);
}
