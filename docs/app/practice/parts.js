// The small parts that the practice page is made of: fields with their labels, and the drawings whose needles Python turns.

import { element } from "../element.js";

const SVG = "http://www.w3.org/2000/svg";

/**
 * A choice with its label above it.
 * @param {string} label @param {string} name @param {(readonly [string, string])[]} options @param {(value: string) => void} act
 */
export function choice(label, name, options, act) {
  const select = element("select", { class: "ws-control", name });
  offer(select, options);
  select.addEventListener("change", () => act(select.value));
  return { box: element("label", { class: "pr-field" }, element("span", {}, label), select), select };
}

/** @param {HTMLSelectElement} select @param {(readonly [string, string])[]} options kept chosen where it is still there */
export function offer(select, options) {
  const { value } = select;
  select.replaceChildren(...options.map(([each, face]) => element("option", { value: each }, face)));
  if (options.some(([each]) => each === value)) select.value = value;
}

/** A text field with its label above it. @param {string} label @param {string} name */
export function text(label, name) {
  const input = element("input", { class: "ws-control", type: "text", name, autocomplete: "off", spellcheck: "false" });
  return { box: element("label", { class: "pr-field" }, element("span", {}, label), input), input };
}

/** @param {string} tag @param {Record<string, string | number>} attributes @param {...(Node | string)} children */
function svg(tag, attributes, ...children) {
  const made = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, String(value));
  made.append(...children);
  return made;
}

/** @param {SVGElement} part @param {number} degrees */
function turn(part, degrees) {
  part.style.transform = `rotate(${degrees}deg)`;
}

/** A dial gauge: a large hand for one turn, a small one for ten. */
export class DialGauge {
  #needle = svg("path", { d: "M-1.6,8 L0,-40 L1.6,8 Z", class: "pr-needle" });
  #counter = svg("path", { d: "M-1,2 L0,-8 L1,2 Z", class: "pr-needle" });

  constructor() {
    const ticks = Array.from({ length: 100 }, (_, at) =>
      svg("line", { x1: 0, x2: 0, y1: -47, y2: at % 10 ? (at % 5 ? -44 : -42) : -39, transform: `rotate(${at * 3.6})` }));
    const figures = Array.from({ length: 10 }, (_, at) => {
      const figure = svg("text", { x: 0, y: -28, transform: `rotate(${at * 36})` }, String(at * 10));
      return figure;
    });
    this.box = svg("svg", { viewBox: "-52 -52 104 104", class: "pr-dial", "aria-hidden": "true", focusable: "false" },
      svg("circle", { r: 50, class: "pr-rimline" }), svg("g", { class: "pr-ticks" }, ...ticks), svg("g", { class: "pr-figures" }, ...figures),
      svg("g", { transform: "translate(0 18)" }, svg("circle", { r: 10, class: "pr-rimline" }), this.#counter),
      this.#needle, svg("circle", { r: 3, class: "pr-hub" }));
  }

  /** @param {{needle: number, counter: number}} hands in degrees */
  show({ needle, counter }) {
    turn(this.#needle, needle);
    turn(this.#counter, counter);
  }
}

/** The flywheel from its end: a mark for each unit's TDC, under a pointer that stands still. */
export class Flywheel {
  #disc = svg("g", {});
  box = svg("svg", { viewBox: "-60 -66 120 126", class: "pr-wheel", "aria-hidden": "true", focusable: "false" },
    this.#disc, svg("path", { d: "M-4,-65 L4,-65 L0,-53 Z", class: "pr-pointer" }));

  /** @param {{unit: number, deg: number}[]} tdc */
  mark(tdc) {
    const ticks = Array.from({ length: 72 }, (_, at) =>
      svg("line", { x1: 0, x2: 0, y1: -52, y2: at % 2 ? -50 : -48, transform: `rotate(${at * 5})` }));
    // Ahead turns the wheel clockwise, so what comes later lies on the other side.
    const marks = tdc.map(({ unit, deg }) => svg("g", { transform: `rotate(${-deg})` },
      svg("line", { x1: 0, x2: 0, y1: -52, y2: -42, class: "pr-tdc" }), svg("text", { x: 0, y: -33 }, String(unit))));
    this.#disc.replaceChildren(svg("circle", { r: 52, class: "pr-rimline" }), svg("circle", { r: 14, class: "pr-rimline" }),
      svg("g", { class: "pr-ticks" }, ...ticks), svg("g", { class: "pr-figures" }, ...marks));
  }

  /** @param {number} degrees that it has turned ahead */
  show(degrees) {
    turn(this.#disc, degrees);
  }
}
