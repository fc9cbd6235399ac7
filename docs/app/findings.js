// The findings: Python's HTML put in its place, without disturbing what the reader has opened or holds the focus on.

import { element } from "./element.js";

/**
 * @import { View } from "./view.js"
 * @typedef {{unit: number, stage: string, verdict: string, html: string}} UnitHtml
 * @typedef {{summary: string, strip: string, notices: string, units: UnitHtml[]}} Html
 * @typedef {(unit: number, stage: string) => Promise<string>} FetchWorking
 */

/** Milliseconds without a change before a screen reader is told the answer: nobody wants it at each key. */
const SETTLED = 1000;

/** A place for Python's HTML, drawn again only where it has changed. */
class Place {
  #html = "";
  box;

  /** @param {HTMLElement} box */
  constructor(box) {
    this.box = box;
  }

  /** @param {string} html */
  put(html) {
    if (html === this.#html) return;
    this.#html = html;
    const opened = openedIn(this.box);
    const focus = focusIn(this.box);
    // Python has escaped every text in it.
    this.box.innerHTML = html;
    for (const each of this.box.querySelectorAll("details")) {
      if (opened.has(nameOf(each))) each.open = true;
    }
    if (focus >= 0) focusable(this.box)[focus]?.focus();
  }
}

/** @param {HTMLDetailsElement} details */
function nameOf(details) {
  return details.querySelector("summary")?.textContent ?? "";
}

/** @param {HTMLElement} box */
function openedIn(box) {
  return new Set([...box.querySelectorAll("details")].filter(({ open }) => open).map(nameOf));
}

/** @param {HTMLElement} box @returns {HTMLElement[]} */
function focusable(box) {
  return [...box.querySelectorAll(/** @type {"a"} */ ("a, button, summary, [tabindex]"))];
}

/** @param {HTMLElement} box */
function focusIn(box) {
  return focusable(box).findIndex((each) => each === document.activeElement);
}

export class Findings {
  #view;
  #fetchWorking;
  #summary = new Place(element("div", { class: "ws-summary" }));
  #strip = new Place(element("div", { class: "ws-strip" }));
  #notices = new Place(element("div", { class: "ws-notices" }));
  #pick = element("p", { class: "ws-phone ws-quiet" }, "Tap a unit in the picture to see it.");
  #unitBox = element("div", { class: "ws-units" });
  /** @type {Map<string, Place>} */
  #units = new Map();
  #said = element("div", { class: "ws-hidden", role: "status", "aria-live": "polite" });
  /** @type {number | undefined} */
  #settling;
  /** Working that was fetched for findings which are no longer shown is thrown away. */
  #round = 0;

  /** @param {View} view @param {FetchWorking} fetchWorking */
  constructor(view, fetchWorking) {
    this.#view = view;
    this.#fetchWorking = fetchWorking;
    this.#summary.put('<p class="ws-quiet">The answer appears here as you type.</p>');
    this.box = element("section", { id: "findings", "aria-labelledby": "title-findings", tabindex: "-1" },
      element("h2", { id: "title-findings" }, "Findings"),
      this.#summary.box, this.#strip.box, this.#pick, this.#unitBox, this.#notices.box, this.#said);
    this.#pick.hidden = true;
    this.box.addEventListener("click", (event) => this.#onClick(event));
    // "toggle" does not bubble.
    this.box.addEventListener("toggle", (event) => {
      if (event.target instanceof HTMLDetailsElement) this.#onToggle(event.target);
    }, true);
    view.addEventListener("moved", () => this.#showHere());
  }

  /** @param {string | null | undefined} verdict @param {Html} html */
  show(verdict, html) {
    this.#round++;
    this.box.classList.remove("is-stale");
    if (verdict) this.box.dataset.verdict = verdict;
    else delete this.box.dataset.verdict;
    this.#summary.put(html.summary);
    this.#strip.put(html.strip);
    this.#notices.put(html.notices);
    this.#showUnits(html.units);
    this.#announce();
  }

  /** The findings on show no longer belong to what is typed. @param {string} words */
  lose(words) {
    delete this.box.dataset.verdict;
    this.box.classList.add("is-stale");
    this.#summary.put("");
    this.#summary.put(element("p", {}, words).outerHTML);
  }

  /** @param {UnitHtml[]} units */
  #showUnits(units) {
    const before = this.#units;
    this.#units = new Map();
    for (const { unit, stage, verdict, html } of units) {
      const id = `unit-${unit}-${stage}`;
      const place = before.get(id) ?? new Place(element("article",
        { id, tabindex: "-1", "data-unit": String(unit), "data-stage": stage, "aria-label": `Unit ${unit}` }));
      place.box.dataset.verdict = verdict;
      place.put(html);
      this.#units.set(id, place);
      for (const details of place.box.querySelectorAll("details")) if (details.open) this.#onToggle(details);
    }
    const boxes = [...this.#units.values()].map(({ box }) => box);
    const same = boxes.length === this.#unitBox.children.length && boxes.every((box, at) => box === this.#unitBox.children[at]);
    if (!same) this.#unitBox.replaceChildren(...boxes);
    this.#pick.hidden = boxes.length === 0;
    this.#showHere();
  }

  /** A phone shows the units' findings one at a time: that of the unit being read, else the first. */
  #showHere() {
    const places = [...this.#units.values()].map(({ box }) => box);
    const here = places.some(({ dataset }) => dataset.unit === String(this.#view.unit)) ? String(this.#view.unit) : places[0]?.dataset.unit;
    for (const box of places) box.classList.toggle("is-here", box.dataset.unit === here);
  }

  /** @param {MouseEvent} event */
  #onClick(event) {
    const link = event.target instanceof Element ? event.target.closest('a[href^="#unit-"]') : null;
    const article = link && document.getElementById(String(link.getAttribute("href")).slice(1));
    if (!article) return;
    event.preventDefault();
    this.#view.move({ unit: Number(article.dataset.unit) });
    article.focus({ preventScroll: true });
    article.scrollIntoView({ block: "start" });
  }

  /** The working is fetched when it is opened: it is long, and mostly nobody looks. @param {HTMLDetailsElement} details */
  async #onToggle(details) {
    const article = details.closest("article");
    const place = details.querySelector("[data-working]");
    if (!details.open || !article || !(place instanceof HTMLElement)) return;
    const round = String(this.#round);
    if (place.dataset.round === round) return;
    place.dataset.round = round;
    const html = await this.#fetchWorking(Number(article.dataset.unit), String(article.dataset.stage)).catch((trouble) =>
      element("p", {}, trouble instanceof Error ? trouble.message : String(trouble)).outerHTML);
    if (place.dataset.round === round) place.innerHTML = html;
  }

  #announce() {
    clearTimeout(this.#settling);
    this.#settling = setTimeout(() => {
      const words = this.#summary.box.innerText.trim();
      if (this.#said.textContent !== words) this.#said.textContent = words;
    }, SETTLED);
  }
}
