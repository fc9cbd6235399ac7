// A job that is broken off: what to close before the engine can be ready, in what order.

import { element } from "./element.js";
import { todo } from "./todo.js";

/**
 * @import { Entries } from "./entries.js"
 * @import { Work } from "./steps.js"
 */

export class Closing {
  #entries;
  #drawn = "";
  box = element("div", { class: "ws-closing" });

  /** @param {Entries} entries */
  constructor(entries) {
    this.#entries = entries;
  }

  /** @param {Work["closing"]} phases */
  show(phases) {
    const drawn = JSON.stringify(phases);
    if (drawn === this.#drawn || this.box.contains(document.activeElement)) return;
    this.#drawn = drawn;
    this.box.replaceChildren(element("h3", {}, "Before the engine can be ready"), ...(phases.length
      ? [element("ol", { class: "ws-phases" }, ...phases.map(({ title, items }) =>
          element("li", {}, element("strong", {}, title), todo(this.#entries, items, "ol"))))]
      : [element("p", {}, "Nothing is open that this job knows of. The engine's manual decides.")]));
  }
}
