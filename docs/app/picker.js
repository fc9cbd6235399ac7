// The row of unit numbers by which a phone moves from unit to unit.

import { button, element } from "./element.js";

/** @import { View } from "./view.js" */

export class Picker {
  #view;
  /** @type {number[]} */
  #units = [];
  box = element("div", { class: "ws-pick ws-phone", role: "group", "aria-label": "Unit" });

  /** @param {View} view */
  constructor(view) {
    this.#view = view;
    view.addEventListener("moved", () => this.#press());
  }

  /** @param {number[]} units */
  offer(units) {
    if (units.join() === this.#units.join()) return;
    this.#units = units;
    this.box.replaceChildren(element("span", {}, "Unit"), ...units.map((unit) =>
      button(String(unit), () => this.#view.move({ unit }), { "data-unit": String(unit), "aria-label": `Unit ${unit}` })));
    this.#press();
  }

  #press() {
    for (const each of this.box.querySelectorAll("button")) {
      each.setAttribute("aria-pressed", String(each.dataset.unit === String(this.#view.unit)));
    }
  }
}
