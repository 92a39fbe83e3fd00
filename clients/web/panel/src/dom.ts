// Elements from plain values. Text is only ever text: nothing here reads markup.

export type Child = Node | string | number | false | null | undefined | Child[];
type Attributes = Record<string, string | number | boolean | null | undefined | ((event: any) => void)>;

function fill(element: Element, attributes: Attributes | null, children: Child[]): void {
  for (const [name, value] of Object.entries(attributes ?? {})) {
    if (typeof value === "function") element.addEventListener(name, value);
    else if (value !== false && value != null) element.setAttribute(name, value === true ? "" : String(value));
  }
  append(element, children);
}

function append(element: Element, children: Child[]): void {
  for (const child of children) {
    if (Array.isArray(child)) append(element, child);
    else if (child !== false && child != null) element.append(child instanceof Node ? child : String(child));
  }
}

/** h makes an HTML element. A function as an attribute listens to the event of that name. */
export function h<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  attributes?: Attributes | null,
  ...children: Child[]
): HTMLElementTagNameMap[K] {
  const element = document.createElement(tag);
  fill(element, attributes ?? null, children);
  return element;
}

export const svgNamespace = "http://www.w3.org/2000/svg";

/** s makes an SVG element. */
export function s(tag: string, attributes?: Attributes | null, ...children: Child[]): SVGElement {
  const element = document.createElementNS(svgNamespace, tag) as SVGElement;
  fill(element, attributes ?? null, children);
  return element;
}

/**
 * place makes the children of an element those given, in their order. Those that
 * stand in order already are not moved, so that they keep their focus.
 */
export function place(parent: Element, ...wanted: Child[]): void {
  const list = wanted.flat(9).filter((child): child is Node => child instanceof Node);
  const keep = new Set<Node>(list);
  for (const child of [...parent.childNodes]) if (!keep.has(child)) child.remove();
  let at = parent.firstChild;
  for (const child of list) {
    if (child === at) at = at.nextSibling;
    else parent.insertBefore(child, at);
  }
}

/** Kept makes elements by key, again only where what they show differs. */
export class Kept<E extends Element> {
  #held = new Map<string, { shows: string; element: E }>();
  #next = new Map<string, { shows: string; element: E }>();

  get(key: string, shows: unknown, make: (old?: E) => E): E {
    const text = JSON.stringify(shows);
    const old = this.#held.get(key);
    const entry = old?.shows === text ? old : { shows: text, element: make(old?.element) };
    this.#next.set(key, entry);
    return entry.element;
  }

  /** turn drops what was not asked for since the last turn. */
  turn(): void {
    this.#held = this.#next;
    this.#next = new Map();
  }
}
