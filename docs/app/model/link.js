// A link can set the model to a state: model.html?angle=-4.5&index=7 or model.html#angle=-4.5&index=7.

import table, { controls, reference, words } from "./table.js";
import { filled } from "./words.js";

/** @typedef {import("./table.js").Setting} Setting */
/** @typedef {import("./table.js").Place} Place */

const NAMES = ["angle", "turned", ...controls.map((each) => each.name)];
const DIRECTIONS = ["ahead", "astern"];

/** A number as people write it, in whole hundredths; NaN for anything else. @param {string} text */
function hundredthsOf(text) {
  const plain = text.trim().replace("−", "-").replace(",", ".");
  return /^[+-]?\d+(\.\d+)?$/.test(plain) ? Math.round(Number(plain) * 100) : NaN;
}

/** The part of an address that sets the model, where it has one. @param {{hash: string, search: string}} address */
export function stateIn({ hash, search }) {
  return [hash.slice(1), search.slice(1)].find((text) => /^\w+=/.test(text)) ?? "";
}

/**
 * What a link sets; what it leaves out is as in the reference. A value that the model cannot take is left out and named.
 *
 * @param {string} state
 * @returns {{place: Place, setting: Setting, notes: string[]}}
 */
export function read(state) {
  const setting = reference();
  let flywheel = table.start;
  let astern = false;
  /** @type {string[]} */
  const notes = [];
  /** @param {string} name @param {string} found @param {string} low @param {string} high */
  const refuse = (name, found, low, high) => notes.push(filled(words.link_value, { name, found, low, high }));
  for (const [name, found] of new URLSearchParams(state)) {
    const control = controls.find((each) => each.name === name);
    if (control) {
      const value = hundredthsOf(found) / control.hundredths;
      const fits = value >= control.low && value <= control.high && value % control.step === 0;
      if (fits) setting[control.name] = value;
      else refuse(name, found, ...ends(control.low * control.hundredths, control.high * control.hundredths));
    } else if (name === "angle") {
      const value = hundredthsOf(found);
      const [low, high] = table.crank.map((end) => end * table.per_deg);
      if (value >= low && value <= high) flywheel = value;
      else refuse(name, found, ...ends(low, high));
    } else if (name === "turned") {
      if (DIRECTIONS.includes(found)) astern = found === "astern";
      else notes.push(filled(words.link_turned, { found }));
    } else notes.push(filled(words.link_name, { name, names: NAMES.join(", ") }));
  }
  return { place: { flywheel, slack: astern ? setting.play * 10 : 0 }, setting, notes };
}

/** @param {number} low @param {number} high @returns {[string, string]} */
const ends = (low, high) => [minus(low / 100), minus(high / 100)];

/** A number with a true minus sign. @param {number} value */
const minus = (value) => String(value).replace("-", "−");
