// The calculations that the worksheet offers beside the job. What is typed in them belongs to no job; it is kept for each job as
// long as the page lives, and what is left empty is taken from the job.

import { CalculationForm, FormTexts, prefixOf } from "./calculation.js";
import { element } from "./element.js";
import { calculations } from "./form.js";

/**
 * @import { Ask, Texts } from "./calculation.js"
 * @import { Calculation } from "./form.js"
 * @import { Sheet } from "./sheet.js"
 */

/** Milliseconds that this waits for the findings after something is typed in the form. */
const AFTER_TYPING = 300;

/** What is typed into one form, by job. @param {Sheet} sheet @param {string} name */
function textsByJob(sheet, name) {
  /** @type {Map<string, Texts>} */
  const byJob = new Map();
  const texts = new FormTexts(prefixOf(name), {
    read: () => byJob.get(sheet.content.job) ?? {},
    write: (now) => byJob.set(sheet.content.job, now),
  });
  sheet.addEventListener("replaced", () => {
    texts.forget();
    texts.dispatchEvent(new Event("replaced"));
  });
  return texts;
}

/** One calculation, closed until it is needed. @param {Sheet} sheet @param {Calculation} calculation @param {Ask} ask */
function foldedForm(sheet, calculation, ask) {
  const { name, title, say, page } = calculation;
  // What nobody sees is not asked for: it would hold up the findings.
  const form = new CalculationForm(textsByJob(sheet, name), calculation, ask, () => box.open && box.checkVisibility());
  const box = element("details", { class: "ws-calculation", id: `calculation-${name}`, "aria-label": title },
    element("summary", {}, title),
    element("p", { class: "ws-quiet" }, say, " ", element("a", { href: page }, `Explained: ${title}`)), ...form.parts);
  box.addEventListener("toggle", () => form.refresh());
  return { box, form };
}

/** The calculations that a step of the job offers, one below the other. */
export class Calculations {
  #forms;
  /** @type {number | undefined} */
  #waiting;
  /** Whether the job has changed since the forms were asked last; in a step that is not open they wait. */
  #stale = false;

  /** @param {Sheet} sheet @param {string} step @param {string} title @param {Ask} ask */
  constructor(sheet, step, title, ask) {
    this.#forms = calculations.filter((each) => each.step === step).map((each) => foldedForm(sheet, each, ask));
    const id = `calculations-${step}`;
    this.box = element("section", { class: "ws-section ws-calculations", "aria-labelledby": id },
      element("h3", { id }, title),
      element("p", { class: "ws-quiet" }, "What is typed here changes no entry of the job. Empty fields take what the job knows."),
      ...this.#forms.map(({ box }) => box));
    // It gets its size when its step is opened.
    new ResizeObserver(() => {
      if (this.#stale && this.box.checkVisibility()) this.#refresh();
    }).observe(this.box);
  }

  /** The job has changed, and with it what empty fields take from it. */
  refresh() {
    clearTimeout(this.#waiting);
    this.#stale = true;
    this.#waiting = setTimeout(() => this.box.checkVisibility() && this.#refresh(), AFTER_TYPING);
  }

  #refresh() {
    this.#stale = false;
    for (const { form } of this.#forms) form.refresh();
  }
}
