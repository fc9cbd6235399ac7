// The row of unit numbers by which a phone moves from unit to unit.

import { button, element } from "./element.js";

/** @import { View } from "./view.js" */

export class Picker {
  #view;
  /** @type {number[]} */
  #units = [];
  box;

  /** @param {View} view @param {{always?: boolean, of?: string}} [options] `always`: not only on a phone; `of`: what is shown of the unit */
  constructor(view, { always = false, of = "" } = {}) {
    this.#view = view;
    this.box = element("div", { class: always ? "ws-pick" : "ws-pick ws-phone", role: "group", "aria-label": of ? `Unit, ${of}` : "Unit" });
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
