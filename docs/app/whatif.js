// What if: rods and cam moved on the screen before any nut turns. Python says what would come of it; a button
// only writes another number into its field. Nothing here changes the job, and nothing of it is stored.

import { button, element } from "./element.js";
import { Place } from "./place.js";

/**
 * @import { Sheet } from "./sheet.js"
 * @import { View } from "./view.js"
 * @typedef {{by: number, face: string, words: string}} Step one press of a button
 * @typedef {{name: string, label: string, unit: string, value: string, steps: Step[], echo: string,
 *   error: string | null}} Control
 * @typedef {{unit: number, verdict: string, moved: boolean, level: string | null, listed: Record<string, number>}} UnitMoved
 * @typedef {{units: UnitMoved[], unit?: number, controls?: Control[], said?: string,
 *   html: {unit: string, strip: string}}} Answer
 * @typedef {Record<string, Record<string, string>>} Moves what is in the fields, by unit and field
 * @typedef {(moves: Moves, unit: number | undefined) => Promise<Answer | null>} Ask
 */

/** Milliseconds without a change before a screen reader is told the result. */
const SETTLED = 1000;
/** Milliseconds that this waits for the findings after something is typed in the form. */
const AFTER_TYPING = 300;

/** One rod, or the cam: a number with buttons around it. */
class Stepper {
  #input;
  #echo;
  /** @type {Control} */
  #control;

  /** @param {Control} control @param {(name: string, text: string) => void} move */
  constructor(control, move) {
    this.#control = control;
    const id = `whatif-${control.name}`;
    this.#input = element("input", { class: "ws-control", id, type: "text", autocomplete: "off", autocapitalize: "off",
      spellcheck: "false", "aria-describedby": `${id}-echo` });
    this.#input.addEventListener("input", () => move(control.name, this.#input.value));
    this.#echo = element("div", { class: "ws-note", id: `${id}-echo` });
    const steps = control.steps.map(({ by, face, words }) => button(face, () => {
      // Steps are decimals; a sum of them is written without the last bits of a double.
      this.#input.value = String(Number((this.#stands + by).toFixed(4)));
      move(control.name, this.#input.value);
    }, { "aria-label": words }));
    const before = control.steps.filter(({ by }) => by < 0).length;
    this.box = element("div", { class: "ws-stepper" },
      element("label", { for: id }, control.label),
      element("div", { class: "ws-line" }, ...steps.slice(0, before), this.#input, ...steps.slice(before),
        element("span", { class: "ws-unit", "aria-hidden": "true" }, control.unit)),
      this.#echo);
  }

  /** Where the next press starts from: what is in the field, else what Python last understood. */
  get #stands() {
    const typed = Number(this.#input.value);
    return this.#input.value.trim() !== "" && Number.isFinite(typed) ? typed : Number(this.#control.value);
  }

  /** @param {Control} control @param {string | undefined} text what was typed there */
  show(control, text) {
    this.#control = control;
    const typing = document.activeElement === this.#input;
    if (!typing) this.#input.value = control.error ? text ?? "" : control.value;
    // Nobody is corrected while still typing.
    const error = typing ? null : control.error;
    if (error) this.#input.setAttribute("aria-invalid", "true");
    else this.#input.removeAttribute("aria-invalid");
    this.#echo.classList.toggle("is-error", Boolean(error));
    this.#echo.textContent = error ?? control.echo;
  }

  /** @param {() => void} act */
  onLeave(act) {
    this.#input.addEventListener("focusout", () => setTimeout(act));
  }
}

export class WhatIf {
  #sheet;
  #view;
  #ask;
  /** @type {Map<string, Moves>} what is tried, by job, as long as the page lives */
  #tried = new Map();
  /** @type {Answer | undefined} */
  #answer;
  /** @type {number | undefined} the unit that the person looks at; until then Python chooses one that needs something */
  #chosen;
  /** @type {Map<string, Stepper>} */
  #steppers = new Map();
  /** Counts what was asked. */
  #round = 0;
  #pick = element("div", { class: "ws-pick", role: "group", "aria-label": "Unit to move" });
  #controls = element("div", { class: "ws-steppers" });
  #presets = element("div", { class: "ws-bar" });
  #unit = new Place(element("div", { class: "ws-tried" }));
  #strip = new Place(element("div", { class: "ws-strip" }));
  #said = element("div", { class: "ws-hidden", role: "status", "aria-live": "polite" });
  /** @type {number | undefined} */
  #settling;
  /** @type {number | undefined} */
  #waiting;
  /** Whether what is shown belongs to an older form. */
  #stale = true;
  #inSight = false;

  /** @param {Sheet} sheet @param {View} view @param {Ask} ask */
  constructor(sheet, view, ask) {
    this.#sheet = sheet;
    this.#view = view;
    this.#ask = ask;
    this.#presets.append(
      button("The listed correction", () => this.#set(this.#here?.listed ?? {}), { id: "whatif-listed" }),
      button("Nothing moved", () => this.#set(Object.fromEntries(Object.keys(this.#here?.listed ?? {}).map((name) => [name, 0]))),
        { id: "whatif-nothing" }));
    this.box = element("section", { class: "ws-section ws-whatif", id: "section-whatif", "aria-labelledby": "title-whatif" },
      element("h3", { id: "title-whatif", tabindex: "-1" }, "What if"),
      element("p", { class: "ws-quiet" },
        "Move rods and cam here before you turn a nut. The readings stay as they are. Every unit starts from its listed correction."),
      this.#pick, this.#controls, this.#presets,
      element("div", { class: "ws-outcome" }, this.#unit.box, this.#strip.box), this.#said);
    view.addEventListener("moved", () => this.#choose(view.unit));
    sheet.addEventListener("replaced", () => {
      this.#chosen = undefined;
      this.refresh();
    });
    // What nobody sees is not asked for: it would hold up the findings.
    new IntersectionObserver((seen) => {
      this.#inSight = seen.at(-1)?.isIntersecting ?? false;
      if (this.#inSight && this.#stale) this.#refresh();
    }).observe(this.box);
  }

  get #here() {
    return this.#answer?.units.find(({ unit }) => unit === this.#answer?.unit);
  }

  get #moves() {
    const job = this.#sheet.content.job;
    const moves = this.#tried.get(job) ?? {};
    this.#tried.set(job, moves);
    return moves;
  }

  /** The form has changed: ask again once it rests, if anybody looks. */
  refresh() {
    this.#stale = true;
    clearTimeout(this.#waiting);
    this.#waiting = setTimeout(() => this.#inSight && this.#refresh(), AFTER_TYPING);
  }

  /** @param {number} unit */
  #choose(unit) {
    if (unit === this.#chosen) return;
    this.#chosen = unit;
    if (this.#inSight) this.#refresh();
    else this.#stale = true;
  }

  async #refresh() {
    this.#stale = false;
    const round = ++this.#round;
    const answer = await this.#ask(this.#moves, this.#chosen).catch((trouble) => {
      this.#unit.put(element("p", {}, trouble.message).outerHTML);
      return null;
    });
    // An answer that a newer press has overtaken would put the older number back, and the next press would start from it.
    if (round !== this.#round) return;
    if (answer) this.#show(answer);
    else this.#stale = true;
  }

  /** @param {Answer} answer */
  #show(answer) {
    this.#answer = answer;
    this.#stale = false;
    this.#pickFrom(answer);
    this.#draw(answer.controls ?? []);
    this.#presets.hidden = answer.units.length === 0;
    this.#unit.put(answer.html.unit);
    this.#strip.put(answer.html.strip);
    clearTimeout(this.#settling);
    this.#settling = setTimeout(() => {
      const words = answer.said ?? "";
      if (this.#moves[String(answer.unit)] && this.#said.textContent !== words) this.#said.textContent = words;
    }, SETTLED);
  }

  /** @param {Answer} answer */
  #pickFrom({ units, unit: here }) {
    const same = units.map(({ unit }) => String(unit)).join() === [...this.#pick.children].map((each) =>
      each.getAttribute("data-unit")).filter(Boolean).join();
    if (!same) {
      this.#pick.replaceChildren(...(units.length ? [element("span", {}, "Unit")] : []), ...units.map(({ unit }) =>
        button(String(unit), () => {
          this.#choose(unit);
          this.#view.move({ unit });
        }, { "data-unit": String(unit) })));
    }
    for (const each of this.#pick.querySelectorAll("button")) {
      const about = units.find(({ unit }) => String(unit) === each.dataset.unit);
      each.setAttribute("aria-pressed", String(about?.unit === here));
      each.textContent = `${about?.unit}${about?.level ? " !" : about?.moved ? " •" : ""}`;
      each.setAttribute("aria-label", [`Unit ${about?.unit}`, about?.moved ? "moved" : "", about?.level ?? ""].filter(Boolean).join(", "));
    }
  }

  /** @param {Control[]} controls */
  #draw(controls) {
    const names = controls.map(({ name }) => name);
    if (names.join() !== [...this.#steppers.keys()].join()) {
      this.#steppers = new Map(controls.map((control) => [control.name, new Stepper(control, (name, text) => this.#move(name, text))]));
      for (const stepper of this.#steppers.values()) stepper.onLeave(() => this.#answer && this.#draw(this.#answer.controls ?? []));
      this.#controls.replaceChildren(...[...this.#steppers.values()].map(({ box }) => box));
    }
    const typed = this.#moves[String(this.#answer?.unit)] ?? {};
    for (const control of controls) this.#steppers.get(control.name)?.show(control, typed[control.name]);
  }

  /** @param {string} name @param {string} text */
  #move(name, text) {
    const here = this.#here;
    if (!here) return;
    const moves = this.#moves;
    moves[String(here.unit)] ??= Object.fromEntries(Object.entries(here.listed).map(([each, value]) => [each, String(value)]));
    moves[String(here.unit)][name] = text;
    this.#refresh();
  }

  /** @param {Record<string, number>} values */
  #set(values) {
    const here = this.#here;
    if (!here) return;
    this.#moves[String(here.unit)] = Object.fromEntries(Object.entries(values).map(([name, value]) => [name, String(value)]));
    this.#refresh();
  }
}
