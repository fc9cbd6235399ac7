// What stands in the way, above the form: errors as an alarming list, what is still missing as a calm one.
// Both lead to the fields.

import { element } from "./element.js";
import { lead, lines } from "./todo.js";

/**
 * @import { Entries } from "./entries.js"
 * @import { Item } from "./todo.js"
 */

/** A longer list of what is missing starts closed. */
const FEW = 5;

export class Problems {
  #entries;
  /** @type {Item[]} */
  #errors = [];
  #errorList = element("ul");
  #errorBox;
  #missingList = element("ul");
  #missingTitle = element("summary");
  #missingBox;
  #title = document.title;
  /** Heard, since whoever has left a field does not see its error any more. */
  #said = element("p", { class: "ws-hidden", role: "status" });
  /** @type {string[]} the errors that were said */
  #heard = [];
  /** Whether the person has opened or closed the list of what is missing. */
  #chosen = false;

  /** @param {Entries} entries */
  constructor(entries) {
    this.#entries = entries;
    this.#errorBox = element("div", { class: "ws-errors", role: "group", tabindex: "-1", "aria-labelledby": "errors-title" },
      element("h2", { id: "errors-title" }, "To mend"), this.#errorList);
    this.#missingBox = element("details", { class: "ws-missing" }, this.#missingTitle, this.#missingList);
    this.#missingTitle.addEventListener("click", () => (this.#chosen = true));
    this.#errorBox.hidden = this.#missingBox.hidden = true;
    this.box = element("div", { class: "ws-problems" }, this.#errorBox, this.#missingBox, this.#said);
    lead(entries, this.box);
    entries.addEventListener("left", () => this.#showErrors());
  }

  /** @param {Item[]} errors @param {Item[]} missing */
  show(errors, missing) {
    this.#errors = errors;
    this.#showErrors();
    this.#missingBox.hidden = missing.length === 0;
    this.#missingTitle.textContent = `Still needed: ${missing.length} ${missing.length === 1 ? "entry" : "entries"}`;
    if (!this.#chosen) this.#missingBox.open = missing.length <= FEW;
    this.#fill(this.#missingList, missing);
  }

  /** After a file was opened, so that its errors are not overlooked. @returns {boolean} whether there are any */
  focusErrors() {
    if (this.#errorBox.hidden) return false;
    this.#errorBox.focus();
    return true;
  }

  #showErrors() {
    const told = this.#errors.filter(({ key }) => key === null || this.#entries.tells(key));
    this.#say(told);
    this.#fill(this.#errorList, told);
    this.#errorBox.hidden = told.length === 0;
    document.title = told.length ? `Error: ${this.#title}` : this.#title;
  }

  /** Say what is new among the errors; a file may bring many at once. @param {Item[]} told */
  #say(told) {
    const heard = new Set(this.#heard);
    const news = told.filter(({ text }) => !heard.has(text));
    this.#heard = told.map(({ text }) => text);
    if (news.length) this.#said.textContent = `To mend: ${news.length === 1 ? news[0].text : `${news.length} entries`}`;
    else if (told.length === 0) this.#said.textContent = "";
  }

  /** @param {HTMLUListElement} list @param {Item[]} items */
  #fill(list, items) {
    const drawn = JSON.stringify(items);
    if (list.dataset.drawn === drawn) return;
    list.dataset.drawn = drawn;
    // Drawing it anew throws the focus out of a list that is being read.
    const focus = [...list.querySelectorAll("a")].findIndex((each) => each === document.activeElement);
    list.replaceChildren(...lines(this.#entries, items));
    if (focus >= 0) list.querySelectorAll("a")[Math.min(focus, items.length - 1)]?.focus();
  }
}
