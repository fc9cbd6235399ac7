// The cadet's answers: a cause for every unit and for all together, which way to move it, and how far.

import { element } from "../element.js";
import { choice, offer, text } from "./parts.js";

/**
 * @import { Answer } from "./kept.js"
 * @typedef {(readonly [string, string])[]} Options
 * @typedef {{units: number[], causes: {unit: Options, all: Options, parts: Options, common: Options},
 *   measures: Record<string, string>, ways: Record<string, [string, string]>}} Choices what Python says can be chosen
 */

/** The ways to move a part, or that none is moved. @param {Choices} choices @param {string} cause @returns {Options} */
export function waysOf(choices, cause) {
  const words = choices.ways[cause];
  return words ? [["", "Choose"], ["+", words[0]], ["-", words[1]]] : [["", "Choose"]];
}

/** @param {Choices} choices @param {string} cause */
export function farLabel(choices, cause) {
  const measure = choices.measures[cause];
  return measure ? `How far, ${measure === "°" ? "degrees" : measure}` : "How far";
}

export class Answers {
  box = element("div", { class: "pr-answers" });
  #kept;

  /** @param {(answers: Record<string, Answer>) => void} kept */
  constructor(kept) {
    this.#kept = kept;
  }

  /** @param {Choices} choices @param {Record<string, Answer>} answers */
  draw(choices, answers) {
    this.box.replaceChildren(...[...choices.units.map(String), "all"].map((key) => this.#row(choices, key, answers)));
  }

  /** @param {Choices} choices @param {string} key @param {Record<string, Answer>} answers */
  #row(choices, key, answers) {
    const answer = answers[key] ?? { cause: "", way: "", amount: "" };
    const keep = () => {
      answers[key] = answer;
      this.#kept(answers);
    };
    const causes = key === "all" ? choices.causes.all : choices.causes.unit;
    const cause = choice("What it is", `answer/${key}/cause`, [["", "Not answered"], ...causes], (value) => {
      answer.cause = value;
      if (!(value in choices.measures)) answer.way = answer.amount = "";
      fit();
      keep();
    });
    const way = choice("Move it", `answer/${key}/way`, [], (value) => {
      answer.way = value;
      keep();
    });
    const amount = text("How far", `answer/${key}/amount`);
    amount.input.addEventListener("input", () => {
      answer.amount = amount.input.value;
      keep();
    });
    const fit = () => {
      offer(way.select, waysOf(choices, answer.cause));
      way.select.value = answer.way;
      amount.input.value = answer.amount;
      way.box.hidden = amount.box.hidden = !(answer.cause in choices.measures);
      /** @type {HTMLElement} */ (amount.box.firstElementChild).textContent = farLabel(choices, answer.cause);
    };
    cause.select.value = answer.cause;
    fit();
    return element("fieldset", { class: "pr-answer" },
      element("legend", {}, key === "all" ? "All units together" : `Unit ${key}`), cause.box, way.box, amount.box);
  }
}
