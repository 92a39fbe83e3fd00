// The demo shop's words. English stands in the page already, so that it can be
// read before any script has run.

const german: Record<string, string> = {
  where: "Naturtonarchiv, 640 m über dem Meer",
  workshop: "Die Werkbank des Archivs",
  intro: "Ein Teil tauschen, einen Lüfter bremsen: slipfit sagt sofort, ob der Rechner noch zusammengeht.",
  language: "Sprache",
  light: "Licht",
  auto: "wie der Browser",
  bright: "hell",
  dark: "dunkel",
  parts: "Teile",
  sheet: "Blatt öffnen",
  again: "Zurück zum Auftrag",
  climate: "Lüfter, Schall und Wärme",
  quiet: "Leiseste Drehzahlen, die halten",
  invented: "Hersteller, Modelle und Angaben sind erfunden. Eine Vorhersage ist kein Versprechen.",
  hands:
    "Nie ein Netzteil öffnen. Ausschalten, Netzstecker ziehen und warten, bevor Hände hineingreifen; nur Kabel verwenden, die zum Netzteil gehören. Örtliche Vorschriften und Fachkräfte gehen vor.",
  swap: "Tauschen",
  close: "Schließen",
  total: "{n} zusammen",
  machines: "Geräte",
  order: "Zuerst",
  margin: "am meisten Spielraum",
  price: "am günstigsten",
  sound: "am leisesten",
  fitting: "Passt ({n})",
  rejected: "Passt nicht ({n})",
  none: "Keines der {n} Teile passt.",
  here: "eingebaut",
  ask: "Wird gesucht …",
  failed: "Die Auswahl ist nicht zu haben: {reason}",
  listener: "Schall am Platz",
  limit: "höchstens",
  hold: "Gesetzt.",
  nohold: "Keine Drehzahl hält alle Grenzen ein.",
  die: "Chip",
  drive: "Laufwerk",
  memory: "Speicher",
  regulator: "Spannungsregler",
  panel: "Wand",
  coolant: "Flüssigkeit",
  air: "Abluft über dem Raum",
  unsolved: "Keine Vorhersage: {reason}",
  unloaded: "Die Bank ist leer: {reason}. Bitte die Seite neu laden.",
  anyway: "Trotzdem nehmen",
  jump: "{verdict} — zum Protokoll",
};

const english: Record<string, string> = {
  swap: "Swap",
  close: "Close",
  total: "{n} in all",
  machines: "Machines",
  order: "First",
  margin: "most room",
  price: "cheapest",
  sound: "quietest",
  fitting: "Fits ({n})",
  rejected: "Does not fit ({n})",
  none: "None of the {n} parts fits.",
  here: "in the build",
  ask: "Looking …",
  failed: "The shortlist is not to be had: {reason}",
  listener: "Sound at the listener",
  limit: "at most",
  hold: "Set.",
  nohold: "No speed keeps within every limit.",
  die: "chip",
  drive: "drive",
  memory: "memory",
  regulator: "regulators",
  panel: "panel",
  coolant: "coolant",
  air: "Air leaving, above the room",
  unsolved: "No forecast: {reason}",
  unloaded: "The bench is empty: {reason}. Load the page again.",
  anyway: "Take all the same",
  jump: "{verdict} — to the record",
};

/** Texts are the shop's words in one language. */
export class Texts {
  readonly #figures = new Map<string, Intl.NumberFormat>(); // by currency; made when they are needed, since that takes long

  constructor(readonly language: string) {}

  say(key: string, values: Record<string, string | number> = {}): string {
    const text = (this.language === "de" ? german[key] : undefined) ?? english[key] ?? key;
    return text.replace(/\{(\w+)\}/g, (_, name: string) => String(values[name] ?? ""));
  }

  number(value: number | undefined): string {
    return value === undefined ? "–" : this.#figure("").format(value).replace("-", "−");
  }

  money(price: { amount?: number; currency?: string } | undefined): string {
    return price?.amount === undefined ? "–" : this.#figure(price.currency ?? "EUR").format(price.amount);
  }

  #figure(currency: string): Intl.NumberFormat {
    let figure = this.#figures.get(currency);
    if (!figure) {
      figure = new Intl.NumberFormat(
        this.language,
        currency ? { style: "currency", currency } : { maximumFractionDigits: 1 },
      );
      this.#figures.set(currency, figure);
    }
    return figure;
  }

  /** apply writes the texts of the page's own elements, and of their first language again. */
  apply(root: ParentNode): void {
    for (const element of root.querySelectorAll<HTMLElement>("[data-text]")) {
      element.dataset["english"] ??= element.textContent ?? "";
      element.textContent =
        this.language === "de"
          ? (german[element.dataset["text"]!] ?? element.dataset["english"])
          : element.dataset["english"];
    }
  }
}
