// One calculation as a form: Python describes it and answers. The worksheet offers some beside a job (calculations.js), a page
// any of them alone (calculator.js).

import { element } from "./element.js";
import { Entries } from "./entries.js";
import { FormRows } from "./formrows.js";
import { Place } from "./place.js";
import { drawGroup } from "./sections.js";

/**
 * @import { Group } from "./form.js"
 * @import { Reply } from "./entry.js"
 * @typedef {Record<string, string>} Texts by the field's key
 * @typedef {{read(): Texts, write(texts: Texts): void}} Store where they are kept
 * @typedef {{fields: Record<string, Reply>, missing: string[], said: string, html: string}} Answer
 * @typedef {(name: string, typed: Texts) => Promise<Answer | null>} Ask null: a newer question has overtaken it
 */

/** Milliseconds without a change before a screen reader is told the result. */
const SETTLED = 1000;

/**
 * What is typed into one form, in the way of a sheet: an entry reads and writes its text here. Two forms can have fields of the
 * same name, a page cannot; so the keys of entries begin with the form's own `prefix`, and those of the texts do not.
 * @extends EventTarget Tells of `typed` and `replaced`.
 */
export class FormTexts extends EventTarget {
  /** @type {Texts | undefined} what something else has taken the place of */
  #previous;
  #store;
  prefix;

  /** @param {string} prefix @param {Store} store */
  constructor(prefix, store) {
    super();
    this.prefix = prefix;
    this.#store = store;
  }

  get texts() {
    return this.#store.read();
  }

  get isBlank() {
    return !Object.values(this.texts).some((text) => text.trim());
  }

  /** @param {string} key an entry's */
  text(key) {
    return this.texts[key.slice(this.prefix.length)] ?? "";
  }

  /** @param {string} key an entry's @param {string} text */
  type(key, text) {
    const { [key.slice(this.prefix.length)]: _, ...others } = this.texts;
    this.#store.write(text === "" ? others : { ...others, [key.slice(this.prefix.length)]: text });
    this.dispatchEvent(new Event("typed"));
  }

  /** Put other texts in the place of these, which `undo` brings back. @param {Texts} texts */
  replace(texts) {
    this.#previous = this.texts;
    this.#store.write(texts);
    this.dispatchEvent(new Event("replaced"));
  }

  /** What was there before is back; and after it, by one more, what was there now. */
  undo() {
    if (this.#previous) this.replace(this.#previous);
  }

  /** What was there before is no longer of concern. */
  forget() {
    this.#previous = undefined;
  }
}

/** What the keys of a calculation's entries begin with. @param {string} name */
export function prefixOf(name) {
  return `calculation/${name}/`;
}

/** The fields of one calculation and its answer. */
export class CalculationForm {
  #ask;
  #name;
  #texts;
  #entries;
  #isShown;
  #answer = new Place(element("div", { class: "ws-tried" }));
  #said = element("div", { class: "ws-hidden", role: "status", "aria-live": "polite" });
  /** @type {number | undefined} */
  #settling;
  /** @type {HTMLElement[]} */
  parts;

  /**
   * @param {FormTexts} texts
   * @param {{name: string, groups: Group[]}} calculation
   * @param {Ask} ask
   * @param {() => boolean} [isShown] what is not needs no answer
   */
  constructor(texts, { name, groups }, ask, isShown = () => true) {
    this.#ask = ask;
    this.#name = name;
    this.#texts = texts;
    this.#isShown = isShown;
    this.#entries = new Entries(texts, texts.prefix);
    this.parts = [
      ...groups.map((group) => group.rows
        ? new FormRows(texts, this.#entries, group, group.rows).box
        : drawGroup(this.#entries,
          { ...group, fields: group.fields.map((face) => ({ ...face, key: `${texts.prefix}${face.key}` })) })),
      this.#answer.box, this.#said,
    ];
    texts.addEventListener("typed", () => this.refresh());
    texts.addEventListener("replaced", () => this.refresh());
  }

  async refresh() {
    if (!this.#isShown()) return;
    const { prefix, texts } = this.#texts;
    const answer = await this.#ask(this.#name, texts).catch(/** @returns {Answer} */ (trouble) =>
      ({ fields: {}, missing: [], said: "", html: element("p", {}, trouble.message).outerHTML }));
    if (!answer) return;
    this.#entries.answer(Object.fromEntries(Object.entries(answer.fields).map(([key, reply]) => [`${prefix}${key}`, reply])));
    /** @param {string} key @returns {HTMLDetailsElement | null | undefined} the group that folds it away */
    const groupOf = (key) => this.#entries.at(`${prefix}${key}`)?.control.closest("details.ws-group");
    // What the job does not give is asked for in sight, once all else is there: that may bring it.
    const wanted = answer.missing.some((key) => !groupOf(key)) ? [] : answer.missing;
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
