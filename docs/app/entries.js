// All places to type, by key: who is where, what Python said about each, and which errors are told already.

import { Entry } from "./entry.js";

/**
 * @import { Face } from "./form.js"
 * @import { Reply } from "./entry.js"
 * @import { Texted } from "./entry.js"
 */

/** @extends EventTarget Tells of `left` when the person has left a field. */
export class Entries extends EventTarget {
  /** @type {Map<string, Entry>} */
  #byKey = new Map();
  /** @type {Record<string, Reply>} */
  #replies = {};
  /** @type {Set<string>} keys whose errors may be told */
  #left = new Set();
  #everythingLeft = false;
  /** Draws the fields that are still to come. */
  #drawRest = () => {};
  #sheet;
  #prefix;

  /** @param {Texted & EventTarget} sheet @param {string} [prefix] what stands before every key and is no row */
  constructor(sheet, prefix = "") {
    super();
    this.#sheet = sheet;
    this.#prefix = prefix;
    sheet.addEventListener("replaced", () => {
      // A file's errors are told at once: nobody is in the middle of typing them.
      this.#everythingLeft = true;
      this.#left.clear();
      this.#replies = {};
      for (const entry of this.#byKey.values()) entry.refresh();
      this.#answerAll();
    });
  }

  /**
   * @param {Face} face
   * @param {string} key
   * @param {ConstructorParameters<typeof Entry>[3]} [options]
   */
  add(face, key, options) {
    const entry = new Entry(this.#sheet, face, key, options);
    this.#byKey.set(key, entry);
    entry.control.addEventListener("focusout", () => {
      this.#left.add(key);
      // At this moment the focus has not arrived anywhere yet.
      setTimeout(() => {
        this.#answerAll();
        this.dispatchEvent(new Event("left"));
      });
    });
    entry.answer(this.#replies[key] ?? {}, this.tells(key));
    return entry;
  }

  /** @param {string} key */
  remove(key) {
    this.#byKey.delete(key);
  }

  /** Who has fields that are not drawn yet draws them when one is looked for. @param {() => void} drawRest */
  lackFields(drawRest) {
    this.#drawRest = drawRest;
  }

  /** @param {string} key */
  at(key) {
    this.#drawRest();
    return this.#byKey.get(key);
  }

  /** @param {Record<string, Reply>} replies */
  answer(replies) {
    this.#replies = replies;
    this.#answerAll();
  }

  /**
   * Whether an error at this key is told. While its row is being typed into, no new error appears there; one that
   * is on show stays until it is mended.
   * @param {string} key
   */
  tells(key) {
    if (!this.#everythingLeft && !this.#left.has(key)) return false;
    const name = document.activeElement?.getAttribute("name");
    const busy = name !== null && name !== undefined && this.#rowOf(name) === this.#rowOf(key);
    return !busy || this.#byKey.get(key)?.tells === true;
  }

  /** Whether there is a field to go to. @param {string} key */
  leadsTo(key) {
    return this.#find(key) !== undefined;
  }

  /** Show the field, wherever it is hidden, and go there. @param {string} key */
  goTo(key) {
    const control = this.#find(key)?.control;
    if (!control) return;
    control.dispatchEvent(new CustomEvent("reveal", { bubbles: true, detail: control.name }));
    for (let inside = control.closest("details"); inside; inside = inside.parentElement?.closest("details") ?? null) {
      inside.open = true;
    }
    control.focus();
    control.scrollIntoView({ block: "center" });
  }

  /** The field of that key, or the first of the group of fields that it stands for. @param {string} key */
  #find(key) {
    this.#drawRest();
    const first = [...this.#byKey.keys()].find((each) => each.startsWith(key));
    return this.#byKey.get(key) ?? (first === undefined ? undefined : this.#byKey.get(first));
  }

  /** Fields that are filled in together: a row of a table, else the field alone. @param {string} key */
  #rowOf(key) {
    const slash = key.lastIndexOf("/");
    return slash < this.#prefix.length ? key : key.slice(0, slash);
  }

  #answerAll() {
    for (const [key, entry] of this.#byKey) entry.answer(this.#replies[key] ?? {}, this.tells(key));
  }
}
