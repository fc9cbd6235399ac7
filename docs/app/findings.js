// The findings: Python's HTML for the whole engine and for each unit.

import { element } from "./element.js";
import { Place } from "./place.js";

/**
 * @import { View } from "./view.js"
 * @typedef {{unit: number, stage: string, verdict: string, html: string | null}} UnitHtml null where it is as it was
 * @typedef {{summary: string, strip: string, notices: string, units: UnitHtml[]}} Html
 * @typedef {(unit: number, stage: string) => Promise<string>} FetchWorking
 */

/** Milliseconds without a change before a screen reader is told the answer: nobody wants it at each key. */
const SETTLED = 1000;
/** More findings of units than these are told in two steps, those in sight first. */
const MANY = 12;

/** The findings of one unit in one stage, and their working, which is fetched when it is opened: it is long. */
class UnitPlace {
  #fetchWorking;
  #answer = new Place(element("div"));
  #working = new Place(element("div", { class: "ws-lines" }));
  #details;
  /** Counts what was shown, so that working which comes too late is thrown away. */
  #round = 0;
  /** The round that the working on show belongs to. */
  #workedOut = 0;
  /** Whether the reader has opened the working. The theme opens everything for the printer, which is not the same. */
  #asked = false;
  unit;
  stage;
  box;
  /** Whether it is on the screen, as far as anybody knows. */
  isInSight = true;

  /** @param {number} unit @param {string} stage @param {FetchWorking} fetchWorking */
  constructor(unit, stage, fetchWorking) {
    this.unit = unit;
    this.stage = stage;
    this.#fetchWorking = fetchWorking;
    const summary = element("summary", {}, "Show the working");
    this.#details = element("details", { class: "ws-working" }, summary, this.#working.box);
    summary.addEventListener("click", () => {
      // At this moment it is still as it was before the click.
      this.#asked = !this.#details.open;
      this.#details.classList.toggle("is-asked", this.#asked);
      this.#work();
    });
    this.box = element("article", { "data-unit": String(unit), "data-stage": stage }, this.#answer.box, this.#details);
  }

  /** @param {string} verdict @param {string | null} html */
  show(verdict, html) {
    this.box.dataset.verdict = verdict;
    this.#round++;
    this.put(html);
    this.#work();
  }

  /** @param {string | null} html */
  put(html) {
    if (html !== null) this.#answer.put(html);
  }

  async #work() {
    if (!this.#asked || this.#workedOut === this.#round) return;
    const round = (this.#workedOut = this.#round);
    const html = await this.#fetchWorking(this.unit, this.stage).catch((trouble) =>
      element("p", {}, trouble instanceof Error ? trouble.message : String(trouble)).outerHTML);
    if (round === this.#round) this.#working.put(html || "<p>There is no number to work out yet.</p>");
  }
}

export class Findings {
  #view;
  #fetchWorking;
  #summary = new Place(element("div", { class: "ws-summary" }));
  #strip = new Place(element("div", { class: "ws-strip" }));
  #notices = new Place(element("div", { class: "ws-notices" }));
  #tap = element("p", { class: "ws-phone ws-quiet" }, "Tap a unit in the picture to see it.");
  #unitBox = element("div", { class: "ws-units" });
  /** @type {Map<string, UnitPlace>} */
  #units = new Map();
  /** Watches which units are on the screen. */
  #sight = new IntersectionObserver((entries) => {
    for (const { target, isIntersecting } of entries) {
      const place = [...this.#units.values()].find(({ box }) => box === target);
      if (place) place.isInSight = isIntersecting;
    }
  });
  #said = element("div", { class: "ws-hidden", role: "status", "aria-live": "polite" });
  /** @type {number | undefined} */
  #settling;
  /** The verdict at the foot of a phone's screen, which leads down to the findings. */
  foot = element("a", { class: "ws-foot ws-phone", href: "#findings" });
  #verdict = new Place(element("span"));

  /** @param {View} view @param {FetchWorking} fetchWorking */
  constructor(view, fetchWorking) {
    this.#view = view;
    this.#fetchWorking = fetchWorking;
    this.#summary.put('<p class="ws-quiet">The answer appears here as you type.</p>');
    this.box = element("section", { id: "findings", "aria-labelledby": "title-findings", tabindex: "-1" },
      element("h2", { id: "title-findings" }, "Findings"),
      this.#summary.box, this.#strip.box, this.#tap, this.#unitBox, this.#notices.box, this.#said);
    this.foot.append("Findings ", this.#verdict.box);
    this.#tellFoot("");
    this.#tap.hidden = true;
    this.box.addEventListener("click", (event) => this.#onClick(event));
    view.addEventListener("moved", () => this.#showHere());
  }

  /** @param {string | null | undefined} verdict @param {Html} html */
  show(verdict, html) {
    this.box.classList.remove("is-stale");
    if (verdict) this.box.dataset.verdict = verdict;
    else delete this.box.dataset.verdict;
    this.#summary.put(html.summary);
    this.#strip.put(html.strip);
    this.#notices.put(html.notices);
    this.#tellFoot(this.#summary.box.querySelector(".sm-overall")?.innerHTML ?? "");
    this.#showUnits(html.units);
    this.#announce();
  }

  /**
   * The units in sight, to be told first where there are many; null for all.
   * @returns {[number, string][] | null}
   */
  get first() {
    const places = [...this.#units.values()];
    if (places.length <= MANY) return null;
    return places.filter(({ isInSight }) => isInSight).map(({ unit, stage }) => [unit, stage]);
  }

  /** What was left for later. @param {UnitHtml[]} units */
  fill(units) {
    for (const { unit, stage, html } of units) this.#units.get(`${unit} ${stage}`)?.put(html);
  }

  /** The findings on show no longer belong to what is typed. @param {string} words */
  lose(words) {
    delete this.box.dataset.verdict;
    this.box.classList.add("is-stale");
    this.#tellFoot("");
    this.#summary.put(element("p", {}, words).outerHTML);
  }

  /** Without a verdict it would only lie on the fields. @param {string} html */
  #tellFoot(html) {
    this.foot.hidden = html === "";
    this.#verdict.put(html);
  }

  /** @param {UnitHtml[]} units */
  #showUnits(units) {
    const before = this.#units;
    this.#units = new Map();
    for (const { unit, stage, verdict, html } of units) {
      const name = `${unit} ${stage}`;
      const place = before.get(name) ?? new UnitPlace(unit, stage, this.#fetchWorking);
      if (!before.has(name)) this.#sight.observe(place.box);
      place.show(verdict, html);
      this.#units.set(name, place);
    }
    for (const [name, { box }] of before) if (!this.#units.has(name)) this.#sight.unobserve(box);
    const boxes = [...this.#units.values()].map(({ box }) => box);
    // Taking a box out and putting it back would throw the focus out of it.
    const same = boxes.length === this.#unitBox.children.length && boxes.every((box, at) => box === this.#unitBox.children[at]);
    if (!same) this.#unitBox.replaceChildren(...boxes);
    this.#tap.hidden = boxes.length === 0;
    this.#showHere();
  }

  /** A phone shows the units' findings one at a time: that of the unit being read, else the first. */
  #showHere() {
    const places = [...this.#units.values()];
    const here = places.find(({ unit }) => unit === this.#view.unit) ?? places[0];
    for (const { unit, box } of places) box.classList.toggle("is-here", unit === here.unit);
  }

  /** A row of the picture leads to its unit, also where a phone hides it. @param {MouseEvent} event */
  #onClick(event) {
    const link = event.target instanceof Element ? event.target.closest('a[href^="#unit-"]') : null;
    const target = link && document.getElementById(String(link.getAttribute("href")).slice(1));
    const unit = target?.closest("article")?.dataset.unit;
    if (!target || unit === undefined) return;
    event.preventDefault();
    this.#view.move({ unit: Number(unit) });
    target.focus({ preventScroll: true });
    target.scrollIntoView({ block: "start" });
  }

  /** Another answer is on its way: the one on show is not the last word. */
  wait() {
    clearTimeout(this.#settling);
  }

  #announce() {
    this.wait();
    this.#settling = setTimeout(() => {
      const words = this.#summary.box.innerText.trim();
      if (this.#said.textContent !== words) this.#said.textContent = words;
    }, SETTLED);
  }
}
