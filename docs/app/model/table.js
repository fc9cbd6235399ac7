// What calc has computed for the model: the cam row by row, and the whole numbers that are added to it.

import table from "../../generated/model.json";

/**
 * @typedef {{index: number, suction: number, spill: number, cam: number, wear: number, play: number}} Setting
 * @typedef {{flywheel: number, slack: number}} Place
 * @typedef {{name: keyof Setting, label: string, low: number, high: number, step: number, digits: number, more: string,
 *   less: string, none: string, hundredths: number, reference: number}} Control
 */

export const controls = /** @type {Control[]} */ (table.controls);
export const words = /** @type {Record<string, string>} */ (table.words);

/** @returns {Setting} */
export function reference() {
  const setting = { index: 0, suction: 0, spill: 0, cam: 0, wear: 0, play: 0 };
  for (const each of controls) setting[each.name] = each.reference;
  return setting;
}

export default table;
