// The fields of one act. What is typed in each stands open; who signed and when is written by a button, and stands folded
// away below, where it can be changed.

import { element } from "./element.js";
import { idOf } from "./entry.js";
import { capital } from "./words.js";

/**
 * @import { Face } from "./form.js"
 * @import { Entries } from "./entries.js"
 * @import { Sheet } from "./sheet.js"
 * @import { Signing } from "./signing.js"
 */

export class Signed {
  #sheet;
  #path;
  #settles;
  /** @type {Face[]} */
  #signers;
  /** @type {Face | undefined} */
  #reason;
  /** @type {HTMLElement[]} */
  usual = [];
  /** @type {HTMLElement[]} */
  buttons = [];
  /** @type {string[]} */
  keys = [];
  #said = element("p", { class: "ws-said-by" });
  #more = element("details", { class: "ws-rare" });
  /** What stands below: who signed, and where that is changed. */
  foot = element("div", { class: "ws-signed" }, this.#said, this.#more);

  /**
   * @param {Sheet} sheet
   * @param {Entries} entries
   * @param {Signing} signing
   * @param {{faces: Face[], settles: string, path: string, label: string, verb: string}} what
   */
  constructor(sheet, entries, signing, { faces, settles, path, label, verb }) {
    this.#sheet = sheet;
    this.#path = path;
    this.#settles = settles;
    this.#signers = faces.filter(({ stamp }) => stamp !== "");
    this.#reason = faces.find(({ key }) => key === settles);
    const stamps = this.#signers.map(({ stamp }) => stamp);
    /** @type {HTMLElement[]} */
    const rare = [];
    for (const face of faces) {
      const key = `${path}/${face.key}`;
      const entry = entries.add(face, key, { label: `${label}, ${face.label}` });
      this.keys.push(key);
      const cell = element("div", { class: "ws-cell", "data-kind": face.kind }, element("label", { for: idOf(key) }, capital(face.label)), entry.box);
      const isRare = face.stamp !== "" || stamps.includes(face.key) || face.key === settles;
      (isRare ? rare : this.usual).push(cell);
      if (face.stamp) {
        const words = this.#signers.length > 1 ? `${verb}: ${face.label}` : verb;
        this.buttons.push(signing.button(words, label, key, `${path}/${face.stamp}`));
      }
    }
    this.#more.append(element("summary", {}, this.#reason ? "Change, or does not apply" : "Change who and when"),
      element("div", { class: "ws-cells" }, ...rare));
    this.foot.hidden = rare.length === 0;
    this.adapt();
  }

  /** Whether somebody has signed, or said why it does not apply. */
  get isSettled() {
    return [...this.#signers.map(({ key }) => key), this.#settles].some((name) => name && this.#sheet.text(`${this.#path}/${name}`) !== "");
  }

  adapt() {
    const lines = this.#signers.flatMap((face) => {
      const [name, time] = [face.key, face.stamp].map((each) => this.#sheet.text(`${this.#path}/${each}`));
      return name || time ? [`${capital(face.label)} ${[name, time].filter(Boolean).join(", ")}.`] : [];
    });
    const reason = this.#reason ? this.#sheet.text(`${this.#path}/${this.#settles}`) : "";
    if (this.#reason && reason) lines.push(`${capital(this.#reason.label)}: ${reason}`);
    const text = lines.join(" ");
    if (this.#said.textContent !== text) this.#said.textContent = text;
    this.#said.hidden = text === "";
  }
}
