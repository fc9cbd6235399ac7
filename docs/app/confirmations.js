// What a step asks to be confirmed: each with its own signer, or with the reason why it does not apply.

import { fits } from "./arrangement.js";
import { element } from "./element.js";
import { confirmations as described } from "./form.js";
import { Signed } from "./signed.js";
import { concerns } from "./units.js";
import { capital } from "./words.js";

/**
 * @import { Named } from "./form.js"
 * @import { Entries } from "./entries.js"
 * @import { Sheet } from "./sheet.js"
 * @import { Signing } from "./signing.js"
 */

export class Confirmations {
  #sheet;
  #entries;
  #signing;
  /** @type {(() => void)[]} */
  #adapters = [];
  /** What this job does not ask for, so far. @type {string[]} */
  #unasked = [];

  /** @param {Sheet} sheet @param {Entries} entries @param {Signing} signing */
  constructor(sheet, entries, signing) {
    this.#sheet = sheet;
    this.#entries = entries;
    this.#signing = signing;
    const adapt = () => this.#adapt();
    sheet.onTyped((key) => concerns(key, described.key), adapt);
    sheet.addEventListener("replaced", adapt);
  }

  /** @param {Named[]} items */
  draw(items) {
    const drawn = items.map((item) => this.#drawOne(item));
    const list = element("ul", { class: "ws-confirms" }, ...drawn);
    this.#adapters.push(() => (list.hidden = drawn.every(({ hidden }) => hidden)));
    this.#adapt();
    return list;
  }

  /** @param {string[]} unasked */
  show(unasked) {
    if (unasked.join() === this.#unasked.join()) return;
    this.#unasked = unasked;
    this.#adapt();
  }

  #adapt() {
    for (const adapter of this.#adapters) adapter();
  }

  /** @param {Named} item */
  #drawOne({ value, label, signal, needs = "" }) {
    const path = `${described.key}/${value}`;
    const act = new Signed(this.#sheet, this.#entries, this.#signing,
      { faces: described.columns, settles: described.settles, path, label, verb: "Confirm" });
    const box = element("li", { class: "ws-confirm", "data-row": path },
      element("div", { class: "ws-claim" },
        element("p", { class: "ws-said" },
          ...(signal ? [element("strong", { class: `ws-signal ws-${signal}` }, capital(signal)), " "] : []), label),
        ...act.buttons),
      act.foot);
    this.#adapters.push(() => {
      const asked = fits(this.#sheet, needs) && !this.#unasked.includes(value);
      // What somebody is at is not taken away from under the hands.
      box.hidden = !asked && !this.#sheet.holds(path) && !box.contains(document.activeElement);
      box.classList.toggle("is-settled", act.isSettled);
      act.adapt();
    });
    return box;
  }
}
