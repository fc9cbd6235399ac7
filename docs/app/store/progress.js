// How far a job is, as far as its texts tell without any judgement: for how many units start and end are typed.

import { readings } from "../form.js";
import { directionOf, unitsOf } from "../units.js";

/**
 * @import { Texts } from "../sheet.js"
 * @typedef {{units: number, read: Record<string, number>}} Progress `read`: units by stage
 */

const timed = readings.events.filter(({ methods }) => Object.keys(methods).length > 0);

/** @param {Texts} texts @param {number} unit @param {string} stage */
function isRead(texts, unit, stage) {
  return timed.every(({ value, methods }) => {
    const row = `readings/${unit}/${stage}/${value}/${directionOf(texts)}`;
    const asked = methods[texts[`${row}/method`] ?? ""];
    return asked !== undefined && asked.every((name) => texts[`${row}/${name}`]);
  });
}

/** @param {Texts} texts @returns {Progress} */
export function progressOf(texts) {
  const units = unitsOf(texts);
  return {
    units: units.length,
    read: Object.fromEntries(readings.stages.map(({ value }) => [value, units.filter((unit) => isRead(texts, unit, value)).length])),
  };
}

/** @param {Progress} progress */
export function progressWords({ units, read }) {
  if (units === 0) return "the number of units is missing";
  const [first, ...later] = readings.stages;
  const shown = [first, ...later.filter(({ value }) => read[value] > 0)];
  const count = shown.map(({ value, label }) => `${label} ${read[value] ?? 0} of ${units}`);
  return `units with start and end typed: ${count.join(", ")}`;
}
