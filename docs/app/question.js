// One question of a lesson. What the build has put on the page is the first; Python draws others and judges the answers.

import { button, element } from "./element.js";
import { progress, isFirstTry } from "./progress.js";

/**
 * @import { Status } from "./status.js"
 * @typedef {(request: Record<string, any>) => Promise<Record<string, any>>} Ask
 * @typedef {{number: number, typed: string}} Left what somebody has left here: which question, and what was typed
 */

const PLACE = "spillmark.answers";

/** @returns {Record<string, Left>} */
function allLeft() {
  try {
    return JSON.parse(localStorage.getItem(PLACE) ?? "{}") ?? {};
  } catch {
    return {};
  }
}

/** @param {string} name @returns {Left | undefined} */
function leftAt(name) {
  const { number, typed } = allLeft()[name] ?? {};
  return Number.isInteger(number) && number > 0 && typeof typed === "string" ? { number, typed } : undefined;
}

/** @param {string} name @param {Left} left */
function leave(name, left) {
  try {
    localStorage.setItem(PLACE, JSON.stringify({ ...allLeft(), [name]: left }));
  } catch {
    // No room, or no storage at all: it lasts as long as the page.
  }
}

export class QuestionBox {
  #name;
  #ask;
  #box;
  #body;
  #number;
  #said = element("div", { class: "qu-answer", role: "status" });
  #mark = element("span", { class: "qu-mark" });
  #another;

  /** @param {HTMLElement} box @param {Ask} ask @param {Status} status */
  constructor(box, ask, status) {
    this.#box = box;
    this.#ask = ask;
    this.#name = box.dataset.question ?? "";
    this.#number = Number(box.dataset.number);
    this.#body = /** @type {HTMLElement} */ (box.querySelector(".qu-body"));
    box.querySelector(".qu-head")?.append(this.#mark);
    this.#another = button("Another one like it", () => this.#draw(this.#number + 1), { "data-act": "another" });
    const form = element("form", { class: "qu-form", novalidate: true },
      this.#body,
      element("div", { class: "ws-bar" }, element("button", { class: "ws-button", "data-act": "check" }, "Check"), this.#another),
      this.#said, status.box);
    box.append(form);
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.#check();
    });
    form.addEventListener("input", () => {
      leave(this.#name, { number: this.#number, typed: this.#typed });
      this.#said.replaceChildren();
    });
    progress.addEventListener("changed", () => this.#showMark());
    this.#arrange();
    this.#showMark();
    const left = leftAt(this.#name);
    if (left?.number === this.#number) this.#type(left.typed);
    else if (left) this.#draw(left.number, left.typed);
  }

  get #typed() {
    const chosen = /** @type {HTMLInputElement | null} */ (this.#body.querySelector("input:checked"));
    return (chosen ?? /** @type {HTMLInputElement | null} */ (this.#body.querySelector("input[type=text]")))?.value ?? "";
  }

  /** @param {string} text */
  #type(text) {
    for (const input of this.#body.querySelectorAll("input")) {
      if (input.type === "radio") input.checked = input.value === text;
      else input.value = text;
    }
  }

  /** The working moves below the answer, and opening it is noted. */
  #arrange() {
    this.#box.querySelector(".qu-form > .qu-working")?.remove();
    const working = /** @type {HTMLDetailsElement} */ (this.#body.querySelector(".qu-working"));
    const summary = /** @type {HTMLElement} */ (working.querySelector("summary"));
    summary.textContent = "Show the working";
    // By hand, that is: the theme opens whatever is folded when a page is printed.
    summary.addEventListener("click", () => {
      working.classList.toggle("is-shown", !working.open);
      if (!working.open) progress.looked(this.#name);
    });
    this.#box.querySelector(".qu-form")?.append(working);
  }

  /** Another question of the same kind. @param {number} number @param {string} [typed] */
  async #draw(number, typed = "") {
    this.#say("Your question comes as soon as Python is ready.");
    this.#box.setAttribute("aria-busy", "true");
    try {
      const { html } = await this.#ask({ do: "question", name: this.#name, number });
      // Python has escaped every text in it.
      this.#body.innerHTML = html;
      this.#number = number;
      this.#arrange();
      this.#type(typed);
      if (!typed) leave(this.#name, { number, typed });
      this.#said.replaceChildren();
      if (document.activeElement === this.#another) this.#body.querySelector("input")?.focus();
    } catch (trouble) {
      this.#say(/** @type {Error} */ (trouble).message);
    } finally {
      this.#box.removeAttribute("aria-busy");
    }
  }

  async #check() {
    const [number, typed] = [this.#number, this.#typed];
    if (document.documentElement.dataset.calc !== "ready") this.#say("Your answer is checked as soon as Python is ready.");
    try {
      const { right, counts, html } = await this.#ask({ do: "mark", name: this.#name, number, typed });
      // Something else may have been typed or drawn meanwhile.
      if (number !== this.#number || typed !== this.#typed) return this.#said.replaceChildren();
      this.#said.innerHTML = html;
      if (counts) progress.answered(this.#name, right);
    } catch (trouble) {
      this.#say(/** @type {Error} */ (trouble).message);
    }
  }

  /** @param {string} words */
  #say(words) {
    this.#said.replaceChildren(element("p", { class: "ws-quiet" }, words));
  }

  #showMark() {
    const done = progress.of(this.#name);
    this.#mark.textContent = !done?.right ? "" : isFirstTry(done) ? "answered, first try" : "answered";
  }
}
