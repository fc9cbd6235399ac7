// The steps of the job: a map of all of them with what is missing in each, and one step at a time beneath it. Any step
// can be opened at any time. The page's address names the step that is open, and the job is taken up again where it was left.

import { button, element } from "./element.js";
import { addressOf, steps } from "./form.js";
import { todo } from "./todo.js";

/**
 * @import { Entries } from "./entries.js"
 * @import { Step } from "./form.js"
 * @import { Sheet } from "./sheet.js"
 * @import { Item } from "./todo.js"
 * @import { View } from "./view.js"
 * @typedef {{id: string, state: "open" | "begun" | "done" | "not_needed", why: string, missing: Item[]}} StepState
 * @typedef {{complete: boolean, text: string, steps: StepState[], closing: {title: string, items: Item[]}[], unasked: string[], drill: string}} Work
 */

/** A longer list of what is missing starts closed. */
const FEW = 4;

/** @param {StepState} state */
function words({ state, missing }) {
  if (state === "done") return "done";
  if (state === "not_needed") return "not needed";
  return `${missing.length} open`;
}

/** The place of one step on the page, with what is missing in it above what it asks. */
class Panel {
  #entries;
  #summary = element("summary");
  #missing;
  #why = element("p", { class: "ws-why" });
  /** What is said aloud before every move, in the steps that turn the engine. */
  #drill = element("p", { class: "ws-drill" });
  #turns;
  /** @type {Item[]} */
  #items = [];
  #drawn = "[]";
  #title;
  /** Whether the person has opened or closed the list. */
  #chosen = false;
  box;

  /** Draws what it holds. */
  #parts;
  #onwards;

  /** @param {Entries} entries @param {Step} step @param {string} number @param {() => (Node | string)[]} parts @param {HTMLElement} onwards */
  constructor(entries, { id, title, say, page, turns }, number, parts, onwards) {
    this.#entries = entries;
    this.#parts = parts;
    this.#onwards = onwards;
    this.#turns = turns;
    this.#drill.hidden = true;
    this.#missing = element("details", { class: "ws-open" }, this.#summary);
    this.#summary.addEventListener("click", () => (this.#chosen = true));
    this.#missing.hidden = this.#why.hidden = true;
    this.#missing.addEventListener("focusout", () => setTimeout(() => this.#drawList()));
    this.#title = element("h2", { id: `title-${addressOf(id)}`, tabindex: "-1" }, number ? `${number}. ${title}` : title);
    this.box = element("section", { class: "ws-step", id: addressOf(id), "data-step": id, "aria-labelledby": `title-${addressOf(id)}` },
      this.#title, element("p", { class: "ws-say" }, say, " ", element("a", { href: page }, `How to: ${title}`)), this.#drill, this.#why, this.#missing, onwards);
  }

  /** Draw what it holds. */
  fill() {
    this.#onwards.before(...this.#parts());
  }

  /** Begin to read here. */
  focus() {
    this.#title.focus({ preventScroll: true });
    this.box.scrollIntoView({ block: "start" });
  }

  /** @param {StepState | undefined} state @param {string} drill */
  show(state, drill) {
    if (!state) return;
    const { missing, why } = state;
    this.#drill.textContent = this.#turns ? drill : "";
    this.#drill.hidden = !this.#turns;
    this.#items = missing;
    this.#why.textContent = why;
    this.#why.hidden = why === "";
    this.#missing.hidden = missing.length === 0;
    this.#summary.textContent = `Open in this step: ${missing.length}`;
    if (!this.#chosen) this.#missing.open = missing.length <= FEW;
    this.#drawList();
  }

  /** Drawn anew it would throw the focus out of itself, so it waits until nobody reads it. */
  #drawList() {
    const drawn = JSON.stringify(this.#items);
    const focused = document.activeElement;
    if (drawn === this.#drawn || (focused !== this.#summary && this.#missing.contains(focused))) return;
    this.#drawn = drawn;
    const list = todo(this.#entries, this.#items);
    const before = this.#summary.nextElementSibling;
    if (before) before.replaceWith(list);
    else this.#missing.append(list);
  }
}

export class Steps {
  #sheet;
  #rest;
  /** @type {Map<string, Panel>} */
  #panels = new Map();
  /** @type {Map<string, {link: HTMLAnchorElement, word: HTMLElement}>} */
  #links = new Map();
  #whole = element("p", { class: "ws-whole" });
  #head = element("summary");
  #list = element("ol", { class: "ws-map" });
  #map;
  #body = element("div", { class: "ws-steps" });
  #here = "";
  /** Whether the address has named a step that the job is not to lead away from. */
  #asked;
  map;
  box;

  /**
   * @param {Sheet} sheet
   * @param {Entries} entries
   * @param {View} view
   * @param {(step: Step) => (Node | string)[]} draw what a step holds
   */
  constructor(sheet, entries, view, draw) {
    this.#sheet = sheet;
    this.#rest = view.rest;
    // What can come at any time has no place in the order.
    const order = steps.filter(({ aside }) => !aside);
    for (const [at, step] of steps.entries()) {
      const number = order.includes(step) ? String(at + 1) : "";
      const panel = new Panel(entries, step, number, () => draw(step), this.#onwards(order, at));
      this.#panels.set(step.id, panel);
      this.#rest.put(panel.box, () => panel.fill());
      const word = element("span", { class: "ws-state" });
      const link = element("a", { href: `#${addressOf(step.id)}`, "data-step": step.id },
        element("span", { class: "ws-no" }, number || "–"), " ", element("span", {}, step.title), " ", word);
      this.#links.set(step.id, { link, word });
      this.#list.append(element("li", {}, link));
    }
    this.#body.append(...[...this.#panels.values()].map(({ box }) => box));
    // A phone folds the map away; a wide screen always shows it.
    this.#map = element("details", { class: "ws-mapbox" }, this.#head, this.#list);
    this.#map.open = true;
    let folds = false;
    new ResizeObserver(() => {
      if (folds === this.#folds) return;
      folds = this.#folds;
      this.#map.open = !folds;
      this.#showLink(this.#here);
    }).observe(this.#body);
    this.map = element("nav", { class: "ws-nav", "aria-label": "Steps of the job" }, this.#map, this.#whole);
    this.box = this.#body;
    this.#list.addEventListener("click", (event) => {
      const link = event.target instanceof Element ? event.target.closest("a") : null;
      if (!link?.dataset.step) return;
      event.preventDefault();
      if (this.#folds) this.#map.open = false;
      this.open(link.dataset.step, { focus: true });
    });
    this.#body.addEventListener("reveal", (event) => {
      const panel = event.target instanceof Element ? event.target.closest("section[data-step]") : null;
      if (panel instanceof HTMLElement && panel.dataset.step) this.open(panel.dataset.step);
    }, { capture: true });
    addEventListener("hashchange", () => this.#follow());
    sheet.addEventListener("replaced", () => this.#onReplaced());
    const wanted = this.#wanted();
    this.#asked = wanted !== undefined;
    this.open(wanted ?? steps[0].id, { from: "replaceState" });
    entries.lackFields(() => this.#rest.finish());
  }

  /** Whether the style sheet shows the map as something to fold away. */
  get #folds() {
    return this.#head.checkVisibility();
  }

  /** A job is taken up where it was left, and a blank form at its beginning. What comes from a file is shown in the step at hand. */
  #onReplaced() {
    const { step } = this.#sheet.content;
    const known = this.#panels.has(step) ? step : this.#sheet.isBlank ? steps[0].id : this.#here;
    if (this.#asked && !this.#sheet.isBlank) this.#asked = false;
    else if (known !== this.#here) this.open(known);
    this.#sheet.goTo(this.#here);
  }

  /** @param {Step[]} order @param {number} at */
  #onwards(order, at) {
    const before = order[at - 1];
    const after = at < order.length ? order[at + 1] : undefined;
    return element("div", { class: "ws-onwards" },
      ...(before && at < order.length ? [button(`Back: ${before.title}`, () => this.open(before.id, { focus: true }))] : []),
      ...(after ? [button(`Next: ${after.title}`, () => this.open(after.id, { focus: true }), { class: "ws-button ws-next" })] : []));
  }

  /** The step that the page's address names, or named before a link led to another place on the page. */
  #wanted() {
    const id = steps.find((step) => location.hash === `#${addressOf(step.id)}`)?.id ?? history.state?.step;
    return this.#panels.has(id) ? id : undefined;
  }

  /** The address has changed: by Back, by a link, by hand. */
  #follow() {
    const id = this.#wanted();
    if (id === undefined) history.replaceState({ step: this.#here }, "");
    else if (id !== this.#here) this.open(id, { focus: true });
  }

  /** @param {string} id @param {{focus?: boolean, from?: "pushState" | "replaceState"}} [options] `from`: whether Back leads to where it came from */
  open(id, { focus = false, from = "pushState" } = {}) {
    if (id !== this.#here) {
      this.#here = id;
      this.#asked = false;
      const box = this.#panels.get(id)?.box;
      if (box) this.#rest.finish(box);
      for (const [each, { box }] of this.#panels) box.hidden = each !== id;
      for (const [each, { link }] of this.#links) {
        if (each === id) link.setAttribute("aria-current", "step");
        else link.removeAttribute("aria-current");
      }
      // So that a reload comes back to this step, and Back to the one before.
      if (this.#wanted() !== id) history[from]({ step: id }, "", `#${addressOf(id)}`);
      this.#sheet.goTo(id);
      this.#showHead();
      this.#showLink(id);
    }
    if (focus) this.#panels.get(id)?.focus();
  }

  /** Where a low screen lets the map move, the step at hand is in sight; the page itself stays where it is. @param {string} id */
  #showLink(id) {
    const link = this.#links.get(id)?.link.getBoundingClientRect();
    const map = this.#map.getBoundingClientRect();
    if (link) this.#map.scrollTop += Math.max(0, link.bottom - map.bottom) + Math.min(0, link.top - map.top);
  }

  #showHead() {
    const at = steps.findIndex(({ id }) => id === this.#here);
    const state = this.#links.get(this.#here)?.word.textContent;
    this.#head.textContent = `Step: ${steps[at].title}${state ? ` (${state})` : ""}`;
  }

  /** @param {Work} work */
  show({ text, steps: states, complete, drill }) {
    this.#whole.textContent = text;
    this.#whole.classList.toggle("is-complete", complete);
    for (const state of states) {
      this.#panels.get(state.id)?.show(state, drill);
      const link = this.#links.get(state.id);
      if (!link) continue;
      link.word.textContent = words(state);
      link.link.dataset.state = state.state;
    }
    this.#showHead();
  }
}
