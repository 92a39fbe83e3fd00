// Which texts a language has: English is in the module, German comes from a module
// of its own when it is wanted, and pages can bring others.

import { english } from "./english.js";

export type Texts = Record<string, string>;

const languages: Record<string, Texts> = { en: english };

/** elsewhere are the languages that stand in files beside the panel's module. */
const elsewhere: Record<string, string> = { de: "slipfit-panel-de.js" };

const coming = new Map<string, Promise<void> | undefined>(); // what has been sent for; nothing: it is here

/** primaryOf is the language of a tag: "de" of "de-CH". */
export const primaryOf = (tag: string): string => tag.split("-")[0]!.toLowerCase();

/** textsOf are the texts of a language, nothing where there are none. */
export const textsOf = (language: string): Texts | undefined =>
  Object.hasOwn(languages, language) ? languages[language] : undefined;

/** addLanguage supplies texts by key: the panel's own words, and templates of the service's messages. */
export function addLanguage(language: string, texts: Texts): void {
  languages[language] = { ...languages[language], ...texts };
}

/**
 * fetched brings a language's texts in, and gives nothing where there is nothing to
 * wait for. What a page has set goes before; texts that cannot be had leave English.
 */
export function fetched(language: string): Promise<void> | undefined {
  if (coming.has(language) || !Object.hasOwn(elsewhere, language)) return coming.get(language);
  const file = new URL(elsewhere[language]!, import.meta.url).href;
  const texts = import(file)
    .then(
      (module) => addLanguage(language, { ...module.texts, ...languages[language] }),
      () => {},
    )
    .then(() => void coming.set(language, undefined));
  coming.set(language, texts);
  return texts;
}
