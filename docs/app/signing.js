// Who is at the page. Signing writes that name, with day and time, where an act is signed; nothing signs by itself.

import { button, element } from "./element.js";

/**
 * @import { Face } from "./form.js"
 * @import { Entries } from "./entries.js"
 * @import { Sheet } from "./sheet.js"
 */

const KEPT = "spillmark-signing";

/** Day and time as people write them in a log, on this computer's clock. @param {Date} [moment] */
function now(moment = new Date()) {
  const two = (/** @type {number} */ each) => String(each).padStart(2, "0");
  const day = `${moment.getFullYear()}-${two(moment.getMonth() + 1)}-${two(moment.getDate())}`;
  return `${day} ${two(moment.getHours())}:${two(moment.getMinutes())}`;
}

/** What this tab remembers; browsers may refuse to remember anything. */
function remembered() {
  try {
    return sessionStorage.getItem(KEPT) ?? "";
  } catch {
    return "";
  }
}

export class Signing {
  #sheet;
  #entries;
  #input = element("input", { class: "ws-control", id: "signing", type: "text", autocomplete: "name" });
  #ask = element("span", { class: "ws-quiet", role: "status" });
  /** What was to be signed when the name was still missing. @type {HTMLElement | undefined} */
  #asking;
  box;

  /** @param {Sheet} sheet @param {Entries} entries */
  constructor(sheet, entries) {
    this.#sheet = sheet;
    this.#entries = entries;
    this.#input.value = remembered();
    this.#input.addEventListener("input", () => {
      this.#ask.textContent = "";
      try {
        sessionStorage.setItem(KEPT, this.#input.value);
      } catch {
        // Then the name is typed again after a reload.
      }
    });
    this.#input.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" || !this.#input.value.trim()) return;
      event.preventDefault();
      this.#asking?.focus();
      this.#asking = undefined;
    });
    this.box = element("div", { class: "ws-signing" },
      element("label", { for: "signing" }, "You sign as (name and rank)"), this.#input, this.#ask);
  }

  /**
   * The button that signs one act.
   * @param {string} label
   * @param {string} what the act, for a screen reader
   * @param {string} name key of the name
   * @param {string} stamp key of the day and time
   */
  button(label, what, name, stamp) {
    const made = button(label, () => {
      const signer = this.#input.value.trim();
      if (!signer) {
        this.#ask.textContent = "Type your name first. Enter brings you back. Then sign.";
        this.#asking = made;
        this.#input.focus();
        return;
      }
      this.#sheet.type(name, signer);
      this.#sheet.type(stamp, now());
      for (const key of [name, stamp]) this.#entries.at(key)?.refresh();
    }, { class: "ws-button ws-sign", "aria-label": `${label}: ${what}` });
    return made;
  }
}
