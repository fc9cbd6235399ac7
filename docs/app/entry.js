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

/** @param {Face} face @param {string} key @returns {Control} */
function makeControl(face, key) {
  const common = { id: idOf(key), name: key, autocomplete: "off", class: "ws-control" };
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

export class Entry {
  #sheet;
  #face;
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
    this.#face = face;
    this.key = key;
    this.label = label ?? face.label;
    this.control = makeControl(face, key);
    // The unit beside the control is seen; in the name it is heard.
    if (label || face.unit) this.control.setAttribute("aria-label", capital(withUnit({ label: this.label, unit: face.unit })));
    this.#note = element("div", { class: "ws-note", id: `note-${key}` });
    this.#extra = element("div", { class: "ws-empty", id: `empty-${key}` }, empty);
    this.control.setAttribute("aria-describedby", [describedBy, this.#extra.id, this.#note.id].filter(Boolean).join(" "));
    const unit = face.unit ? [element("span", { class: "ws-unit", "aria-hidden": "true" }, face.unit)] : [];
    this.box = element("div", { class: "ws-entry", "data-kind": face.kind },
      element("div", { class: "ws-line" }, this.control, ...unit), this.#extra, this.#note);
    this.control.addEventListener("input", () => {
      sheet.type(key, this.control.value);
      this.#showEmptiness();
    });
    this.refresh();
  }

  /** Show what the sheet holds. */
  refresh() {
    const text = this.#sheet.text(this.key);
    if (this.control instanceof HTMLSelectElement && ![...this.control.options].some(({ value }) => value === text)) {
      // A word from a file that is no choice stays visible, and stays what it was.
      this.control.append(element("option", { value: text }, text));
    }
    if (this.control.value !== text) this.control.value = text;
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
