// Texts of a file that the form has no field for. They are shown as they are, stay in the file, and can be removed.

import { button, element } from "./element.js";

/**
 * @import { Entries } from "./entries.js"
 * @import { Sheet } from "./sheet.js"
 * @import { View } from "./view.js"
 */

export class Kept {
  #sheet;
  #entries;
  #list = element("ul");
  box;

  /** @param {Sheet} sheet @param {Entries} entries @param {View} view */
  constructor(sheet, entries, view) {
    this.#sheet = sheet;
    this.#entries = entries;
    this.box = element("details", { class: "ws-kept" },
      element("summary", {}, "Kept from the file, not understood"),
      element("p", {}, "The form has no field for these entries. They stay in the job file and are not judged."), this.#list);
    this.box.hidden = true;
    // It needs to know every field, so those come first.
    sheet.addEventListener("replaced", () => view.rest.put(this.box, () => this.#show()));
  }

  #show() {
    const strange = Object.keys(this.#sheet.texts).filter((key) => !this.#entries.at(key));
    this.box.hidden = strange.length === 0;
    this.#list.replaceChildren(...strange.map((key) => element("li", {},
      element("code", {}, key), ": ", this.#sheet.text(key), " ",
      button("Remove", () => {
        this.#sheet.type(key, "");
        this.#show();
      }, { "aria-label": `Remove ${key}` }))));
  }
}
