// Which units the tables have a row for: as many as the engine has, and any other that something is typed for. A file
// may name units beyond all reason; those have no row. And the direction that the job is for: readings count in it alone.

import { readings } from "./form.js";

/** @import { Texts } from "./sheet.js" */

const MOST_UNITS = 24;

/** @param {Texts} texts @returns {number[]} */
export function unitsOf(texts) {
  const count = /^\s*(\d{1,2})\s*$/.exec(texts["engine.units"] ?? "")?.[1];
  const units = new Set(Array.from({ length: Math.min(Number(count ?? 0), MOST_UNITS) }, (_, at) => at + 1));
  for (const key of Object.keys(texts)) {
    const unit = /^(?:reference\.units|readings)\/(\d{1,2})\//.exec(key)?.[1];
    if (unit !== undefined) units.add(Number(unit));
  }
  return [...units].sort((a, b) => a - b);
}

const { key: DIRECTION, values: DIRECTIONS } = readings.direction;

/** The first, ahead, where nothing is chosen. @param {Texts} texts */
export function directionOf(texts) {
  const typed = (texts[DIRECTION] ?? "").trim().toLowerCase();
  return DIRECTIONS.includes(typed) ? typed : DIRECTIONS[0];
}

/** @param {string} direction */
export function otherThan(direction) {
  return DIRECTIONS.find((each) => each !== direction) ?? direction;
}
