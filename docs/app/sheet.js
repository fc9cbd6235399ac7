// What the person has typed: one text per key of the form, and the opened file's tree, which the page
// keeps for Python without looking into it.

import { newJob } from "./store/jobs.js";

/**
 * @typedef {Record<string, string>} Texts
 * @typedef {Record<string, unknown>} Base
 */
/**
 * @typedef {object} Content
 * @property {string} job the name under which the browser keeps it
 * @property {number} revision how often the browser has kept it
 * @property {Texts} texts
 * @property {Base} base
 * @property {string[]} opened the keys that the file filled
 * @property {string} step the step of the job that is open; empty where none was chosen
 * @property {Record<string, unknown>} beside what panels keep with the job that belongs in no job file, by their names
 * @property {boolean} unsaved whether something of it is neither in a file nor kept by the browser
 */

/** @extends EventTarget Tells of `typed` (detail: the key), `stepped`, `besides` and `replaced`. */
export class Sheet extends EventTarget {
  /** @type {Content} */
  #content = { job: newJob(), revision: 0, texts: {}, base: {}, opened: [], step: "", beside: {}, unsaved: false };
  /** @type {Content | undefined} what a file, the demo or a blank form has taken the place of */
  #previous;
  /** @type {Set<string> | undefined} rows of tables that hold something; found out anew after a change */
  #rows;

  get content() {
    return this.#content;
  }

  get texts() {
    return this.#content.texts;
  }

  get base() {
    return this.#content.base;
  }

  /** Every key that the file filled or the person has: with a blank text where that was taken out again. */
  get textsWithGaps() {
    return { ...Object.fromEntries(this.#content.opened.map((key) => [key, ""])), ...this.texts };
  }

  /** Demo jobs carry this mark, and keep it when they are saved. */
  get isDemo() {
    return this.#content.base.demo === true;
  }

  get isBlank() {
    return Object.keys(this.texts).length === 0;
  }

  /** Whether leaving the page would lose something, what Undo would bring back included. */
  get wouldLose() {
    return this.#content.unsaved || this.#previous?.unsaved === true;
  }

  get canUndo() {
    return this.#previous !== undefined;
  }

  /** @param {string} key */
  text(key) {
    return this.texts[key] ?? "";
  }

  /** Whether anything is typed in a row of a table; a row is what stands before a key's last slash. @param {string} row */
  holds(row) {
    this.#rows ??= new Set(Object.keys(this.texts).map((key) => key.slice(0, key.lastIndexOf("/"))));
    return this.#rows.has(row);
  }

  /**
   * Act when something is typed that is of concern.
   * @param {(key: string) => boolean} concerns @param {() => void} act
   */
  onTyped(concerns, act) {
    this.addEventListener("typed", (event) => {
      if (concerns(/** @type {CustomEvent<string>} */ (event).detail)) act();
    });
  }

  /** @param {string} key @param {string} text */
  type(key, text) {
    if (text === this.text(key)) return;
    if (text === "") delete this.texts[key];
    else this.texts[key] = text;
    this.#content.unsaved = true;
    this.#rows = undefined;
    this.dispatchEvent(new CustomEvent("typed", { detail: key }));
  }

  /** The job is left and taken up again at this step. @param {string} step */
  goTo(step) {
    if (step === this.#content.step) return;
    this.#content.step = step;
    this.dispatchEvent(new Event("stepped"));
  }

  /**
   * Keep something with the job that belongs in no job file; it is no change of the job.
   * @param {string} name of the panel that keeps it
   * @param {unknown} value plain values
   */
  keepBeside(name, value) {
    this.#content.beside[name] = value;
    this.dispatchEvent(new Event("besides"));
  }

  /**
   * The programs that have worked on the job, as its file will name them: kept with it, so that a newer program finds them.
   * @param {unknown} named
   */
  workedOnWith(named) {
    const { base } = this.#content;
    if (typeof named !== "string" || this.isBlank || base.written_by === named) return;
    this.#content.base = { ...base, written_by: named };
    this.dispatchEvent(new Event("besides"));
  }

  /**
   * Put something else in the place of everything; `undo` brings back what was there.
   * @param {Texts} texts
   * @param {Base} base
   * @param {Partial<Pick<Content, "job" | "revision" | "opened" | "step" | "beside">>} [kept] of a job that the browser has kept
   */
  replace(texts, base, { job = newJob(), revision = 0, opened = Object.keys(texts), step = "", beside = {} } = {}) {
    // The same job read anew leaves nothing to undo.
    if (job !== this.#content.job) this.#previous = this.isBlank ? undefined : this.#content;
    this.#content = { job, revision, texts, base, opened, step, beside, unsaved: false };
    this.#changed();
  }

  /** Change places with what was there before, so that undoing can itself be undone. */
  undo() {
    if (!this.#previous) return;
    [this.#content, this.#previous] = [this.#previous, this.#content];
    this.#changed();
  }

  #changed() {
    this.#rows = undefined;
    this.dispatchEvent(new Event("replaced"));
  }

  /**
   * These texts are in a file now, or kept by the browser; what was typed since is not.
   * @param {Texts} texts
   * @param {Content} [content] what they belong to
   */
  saved(texts, content = this.#content) {
    if (JSON.stringify(texts) === JSON.stringify(content.texts)) content.unsaved = false;
  }
}
