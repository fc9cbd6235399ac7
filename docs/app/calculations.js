// Calculations around the job: small forms that Python describes and answers. What is typed in them belongs to no job; it is
// kept for each job as long as the page lives.

import { element } from "./element.js";
import { calculations } from "./form.js";
import { Place } from "./place.js";
import { drawGroup } from "./sections.js";
import { Entries } from "./entries.js";

/**
 * @import { Calculation } from "./form.js"
 * @import { Reply } from "./entry.js"
 * @import { Sheet } from "./sheet.js"
 * @typedef {{fields: Record<string, Reply>, missing: string[], said: string, html: string}} Answer
 * @typedef {(name: string, typed: Record<string, string>) => Promise<Answer | null>} Ask
 */

/** Milliseconds without a change before a screen reader is told the result. */
const SETTLED = 1000;
/** Milliseconds that this waits for the findings after something is typed in the form. */
const AFTER_TYPING = 300;

/** What is typed into one form, in the way of a sheet: an entry reads and writes its text here. */
export class FormSheet extends EventTarget {
  /** @type {Map<string, Record<string, string>>} by job */
  #byJob = new Map();
  #sheet;

  /** @param {Sheet} sheet */
  constructor(sheet) {
    super();
    this.#sheet = sheet;
    sheet.addEventListener("replaced", () => this.dispatchEvent(new Event("replaced")));
  }

  get job() {
    return this.#sheet.content.job;
  }

  get texts() {
    const { job } = this;
    const texts = this.#byJob.get(job) ?? this.begin(job);
    this.#byJob.set(job, texts);
    return texts;
  }

  /** What a job begins with. @param {string} job @returns {Record<string, string>} */
  begin(job) {
    return {};
  }

  /** @param {string} key */
  text(key) {
    return this.texts[key] ?? "";
  }

  /** @param {string} key @param {string} text */
  type(key, text) {
    this.texts[key] = text;
    this.dispatchEvent(new Event("typed"));
  }
}

/** One calculation, closed until it is needed. */
class CalculationForm {
  #ask;
  #name;
  #prefix;
  #sheet;
  #entries;
  #answer = new Place(element("div", { class: "ws-tried" }));
  #said = element("div", { class: "ws-hidden", role: "status", "aria-live": "polite" });
  /** @type {number | undefined} */
  #settling;

  /** @param {Sheet} sheet @param {Calculation} calculation @param {Ask} ask */
  constructor(sheet, { name, title, say, groups }, ask) {
    this.#ask = ask;
    this.#name = name;
    // The keys of two forms can be alike; a page's names cannot.
    this.#prefix = `calculation/${name}/`;
    this.#sheet = new FormSheet(sheet);
    this.#entries = new Entries(this.#sheet);
    this.box = element("details", { class: "ws-calculation", id: `calculation-${name}` },
      element("summary", {}, title),
      element("p", { class: "ws-quiet" }, say),
      ...groups.map((group) => drawGroup(this.#entries,
        { ...group, fields: group.fields.map((face) => ({ ...face, key: `${this.#prefix}${face.key}` })) })),
      this.#answer.box, this.#said);
    this.#sheet.addEventListener("typed", () => this.refresh());
    this.#sheet.addEventListener("replaced", () => this.refresh());
    this.box.addEventListener("toggle", () => this.refresh());
  }

  async refresh() {
    if (!this.box.open) return;
    const prefix = this.#prefix;
    const typed = Object.fromEntries(Object.entries(this.#sheet.texts).map(([key, text]) => [key.slice(prefix.length), text]));
    const answer = await this.#ask(this.#name, typed).catch(/** @returns {Answer} */ (trouble) =>
      ({ fields: {}, missing: [], said: "", html: element("p", {}, trouble.message).outerHTML }));
    if (!answer) return;
    this.#entries.answer(Object.fromEntries(Object.entries(answer.fields).map(([key, reply]) => [`${prefix}${key}`, reply])));
    const groupOf = (/** @type {string} */ key) => this.#entries.at(`${prefix}${key}`)?.control.closest("details");
    // What the job does not give is asked for in sight, once all else is there: that may bring it.
    const wanted = answer.missing.some((key) => groupOf(key) === this.box) ? [] : answer.missing;
    for (const key of [...wanted, ...Object.keys(answer.fields).filter((each) => answer.fields[each].error)]) {
      const group = groupOf(key);
      if (group) group.open = true;
    }
    this.#answer.put(answer.html);
    clearTimeout(this.#settling);
    this.#settling = setTimeout(() => {
      if (this.#said.textContent !== answer.said) this.#said.textContent = answer.said;
    }, SETTLED);
  }
}

/** The calculations that a step of the job offers, one below the other. */
export class Calculations {
  #forms;
  /** @type {number | undefined} */
  #waiting;

  /** @param {Sheet} sheet @param {string} step @param {string} title @param {Ask} ask */
  constructor(sheet, step, title, ask) {
    this.#forms = calculations.filter((each) => each.step === step).map((each) => new CalculationForm(sheet, each, ask));
    const id = `calculations-${step}`;
    this.box = element("section", { class: "ws-section ws-calculations", "aria-labelledby": id },
      element("h3", { id }, title),
      element("p", { class: "ws-quiet" }, "What is typed here changes no entry of the job. Empty fields take what the job knows."),
      ...this.#forms.map(({ box }) => box));
  }

  /** The job has changed, and with it what empty fields take from it. */
  refresh() {
    clearTimeout(this.#waiting);
    this.#waiting = setTimeout(() => {
      for (const form of this.#forms) form.refresh();
    }, AFTER_TYPING);
  }
}
