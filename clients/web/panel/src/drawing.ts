// A drawing from the service, taken over element by element: only graphics that
// are listed here, only attributes that are listed here, no references outside,
// and of its styles only paint.

import { svgNamespace } from "./dom.js";

const set = (names: string) => new Set(names.split(" "));

const elements = set("svg g title desc defs pattern path rect circle ellipse line polyline polygon text tspan");
const attributes = set(
  "id class x y x1 y1 x2 y2 cx cy r rx ry d points width height viewBox transform fill stroke stroke-width stroke-dasharray " +
    "stroke-linecap stroke-linejoin fill-opacity stroke-opacity opacity color font-size font-weight text-anchor patternUnits " +
    "patternTransform role aria-labelledby version",
);
const properties = set(
  "color fill fill-opacity fill-rule stroke stroke-dasharray stroke-linecap stroke-linejoin stroke-opacity stroke-width opacity " +
    "font-family font-size font-weight font-style text-anchor paint-order",
);

/** inside tells whether a value refers to nothing outside of the drawing. */
const inside = (value: string): boolean =>
  !/\\/.test(value) &&
  !/(url|image|image-set|src|attr|env)\s*\(/i.test(value.replace(/url\(\s*["']?#[\w.-]+["']?\s*\)/g, ""));

const mostNodes = 20_000;

/**
 * takeOver gives a copy of a drawing that only paints, and its styles as text, or
 * nothing where it is no drawing.
 */
export function takeOver(svg: string): { picture: SVGSVGElement; styles: string } | undefined {
  let styles = "";
  // Styles are taken out before the parser sees them: a page whose policy forbids
  // inline styles would have them reported.
  const bare = svg.replace(/<style\b[^>]*>([^<]*)<\/style\s*>/g, (_, text: string) => ((styles += text), ""));
  const source = new DOMParser().parseFromString(bare, "image/svg+xml");
  const root = source.documentElement;
  if (
    root.localName !== "svg" ||
    root.namespaceURI !== svgNamespace ||
    source.doctype ||
    source.querySelector("parsererror")
  )
    return undefined;
  let left = mostNodes;
  const copy = (from: Element, depth: number): Element | undefined => {
    if (from.namespaceURI !== svgNamespace || depth > 32 || left-- < 0) return undefined;
    if (!elements.has(from.localName)) return undefined;
    const to = document.createElementNS(svgNamespace, from.localName);
    for (const { name, value } of from.attributes) {
      // Ids that begin so are the panel's own.
      if (attributes.has(name) && inside(value) && !(name === "id" && value.startsWith("own-")))
        to.setAttribute(name, value);
    }
    for (const child of from.childNodes) {
      if (child.nodeType === Node.TEXT_NODE || child.nodeType === Node.CDATA_SECTION_NODE)
        to.append(child.textContent ?? "");
      else if (child.nodeType === Node.ELEMENT_NODE) to.append(copy(child as Element, depth + 1) ?? "");
    }
    return to;
  };
  const picture = copy(root, 0) as SVGSVGElement | undefined;
  return picture && { picture, styles: paint(styles) };
}

/** paint keeps of a style sheet what paints a drawing, read by the browser's own parser. */
function paint(text: string): string {
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(text);
  return [...sheet.cssRules].map(ruleText).join("\n");
}

function ruleText(rule: CSSRule): string {
  // Media rules tell dark from light and print; the panel knows those better.
  if (!(rule instanceof CSSStyleRule)) return "";
  if (
    !rule.selectorText.split(",").every((one) => /^\s*\.slipfit-drawing(\s|$)/.test(one)) ||
    /:has|::|:host|:root/i.test(rule.selectorText)
  )
    return "";
  const kept = [...rule.style].filter(
    (name) => (properties.has(name) || /^--sd-/.test(name)) && inside(rule.style.getPropertyValue(name)),
  );
  return `${rule.selectorText}{${kept.map((name) => `${name}:${rule.style.getPropertyValue(name)} ${rule.style.getPropertyPriority(name) && "!important"}`).join(";")}}`;
}
