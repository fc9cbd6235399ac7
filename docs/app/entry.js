// One place to type: the control, its unit, and what Python says about it beneath.

import { element } from "./element.js";
import { capital, withUnit } from "./words.js";

/**
 * @import { Face } from "./form.js"
 * @typedef {{text(key: string): string, type(key: string, text: string): void}} Texted what holds the texts, a sheet
 * @typedef {{error?: string, echo?: string}} Reply
 * @typedef {HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement} Control
 */

/** Every control of the page carries its key as its name; this is its id. @param {string} key */
export function idOf(key) {
  return `field-${key}`;
}

/** @param {Face} face @returns {Control} */
function makeControl(face) {
  const common = { autocomplete: "off", class: "ws-control" };
  if (face.choices.length) {
    return element("select", common,
      element("option", { value: "" }, "not chosen"),
      ...face.choices.map(({ value, label }) => element("option", { value }, label)));
  }
  const typed = { ...common, autocapitalize: "off", spellcheck: face.kind === "text" ? undefined : "false" };
  if (face.kind === "table") return element("textarea", { ...typed, rows: "5" });
  return element("input", { ...typed, type: "text", inputmode: keyboardFor(face) });
}

/**
 * The short keyboards of phones have no minus, no space and no letters, so they suit single numbers only.
 * @param {Face} face
 */
function keyboardFor(face) {
  if (face.kind === "whole") return "numeric";
  if (face.kind === "number" && !face.angle && !face.allowed.includes("-")) return "decimal";
  return undefined;
}

/** @type {WeakMap<Face, HTMLElement>} what all places for a face have in common: a job has hundreds, and a copy is made sooner */
const models = new WeakMap();

/** @param {Face} face */
function modelOf(face) {
  const known = models.get(face);
  if (known) return known;
  const unit = face.unit ? [element("span", { class: "ws-unit", "aria-hidden": "true" }, face.unit)] : [];
  const model = element("div", { class: "ws-entry", "data-kind": face.kind },
    element("div", { class: "ws-line" }, makeControl(face), ...unit), element("div", { class: "ws-empty" }), element("div", { class: "ws-note" }));
  models.set(face, model);
  return model;
}

export class Entry {
  #sheet;
  #note;
  #extra;
  /** @type {Reply} */
  #reply = {};
  /** Whether the error is told; it waits until the person has left the field. */
  #tell = false;

  /**
   * @param {Texted} sheet
   * @param {Face} face
   * @param {string} key
   * @param {{label?: string, describedBy?: string, empty?: string}} [options] `label` names the control where no
   *   visible label belongs to it alone; `empty` is shown as long as nothing is typed
   */
  constructor(sheet, face, key, { label, describedBy, empty = "" } = {}) {
    this.#sheet = sheet;
    this.key = key;
    this.label = label ?? face.label;
    this.box = /** @type {HTMLElement} */ (modelOf(face).cloneNode(true));
    const [line, extra, note] = /** @type {HTMLCollectionOf<HTMLElement>} */ (this.box.children);
    this.control = /** @type {Control} */ (line.firstElementChild);
    this.control.id = idOf(key);
    this.control.name = key;
    // The unit beside the control is seen; in the name it is heard.
    if (label || face.unit) this.control.setAttribute("aria-label", capital(withUnit({ label: this.label, unit: face.unit })));
    this.#note = note;
    this.#note.id = `note-${key}`;
    this.#extra = extra;
    this.#extra.id = `empty-${key}`;
    this.#extra.textContent = empty;
    this.control.setAttribute("aria-describedby", `${describedBy ? `${describedBy} ` : ""}${this.#extra.id} ${this.#note.id}`);
    this.control.addEventListener("input", () => {
      sheet.type(key, this.control.value);
      this.#showEmptiness();
    });
    this.refresh();
  }

  /** Show what the sheet holds. */
  refresh() {
    const text = this.#sheet.text(this.key);
    if (this.control.value !== text) this.control.value = text;
    if (this.control.value !== text && this.control instanceof HTMLSelectElement) {
      // A word from a file that is no choice stays visible, and stays what it was.
      this.control.append(element("option", { value: text }, text));
      this.control.value = text;
    }
    this.#showEmptiness();
  }

  /** @param {Reply} reply @param {boolean} tell */
  answer(reply, tell) {
    if (reply.error === this.#reply.error && reply.echo === this.#reply.echo && tell === this.#tell) return;
    this.#reply = reply;
    this.#tell = tell;
    const error = tell ? reply.error : undefined;
    if (error) this.control.setAttribute("aria-invalid", "true");
    else this.control.removeAttribute("aria-invalid");
    this.#note.classList.toggle("is-error", Boolean(error));
    this.#note.textContent = error ?? reply.echo ?? "";
  }

  /** Whether an error of this field is on show. */
  get tells() {
    return this.#tell && this.#reply.error !== undefined;
  }

  #showEmptiness() {
    const blank = this.control.value.trim() === "";
    this.box.classList.toggle("is-blank", blank);
    this.#extra.hidden = !blank || this.#extra.textContent === "";
  }
}
