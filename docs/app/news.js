// What has just happened to a form, said beside the button that did it, with a way back.

import { button, element } from "./element.js";

/** @import { FormTexts } from "./calculation.js" */

export class News {
  #texts;
  box = element("div", { class: "ws-news", role: "status" });

  /** @param {FormTexts} texts */
  constructor(texts) {
    this.#texts = texts;
    // Something newer is said elsewhere.
    texts.addEventListener("replaced", () => this.box.replaceChildren());
  }

  /** @param {string} words @param {{undo?: boolean}} [options] whether it can be undone */
  say(words, { undo = false } = {}) {
    this.box.replaceChildren(words);
    if (!undo) return;
    this.box.append(" ", button("Undo", () => {
      this.#texts.undo();
      this.say("What was there before is back.", { undo: true });
      this.box.querySelector("button")?.focus();
    }, { "data-act": "undo" }));
  }
}
