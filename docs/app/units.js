// Which units the tables have a row for: as many as the engine has, and any other that something is typed for. A file
// may name units beyond all reason; those have no row. And the direction that the job is for: readings count in it alone.

import { readings, unitPlaces } from "./form.js";

/** @import { Texts } from "./sheet.js" */

export const UNITS = "engine.units";
const MOST_UNITS = 24;

/** The unit that a key of a table belongs to. @param {string} key */
export function unitOf(key) {
  const parts = key.split("/");
  const place = unitPlaces.get(parts[0]);
  const text = place === undefined ? undefined : parts[place];
  return text !== undefined && /^\d{1,2}$/.test(text) ? Number(text) : undefined;
}

/** @param {Texts} texts @returns {number[]} */
export function unitsOf(texts) {
  const count = /^\s*(\d{1,2})\s*$/.exec(texts[UNITS] ?? "")?.[1];
  const units = new Set(Array.from({ length: Math.min(Number(count ?? 0), MOST_UNITS) }, (_, at) => at + 1));
  for (const key of Object.keys(texts)) {
    const unit = key.includes("/") ? unitOf(key) : undefined;
    if (unit !== undefined) units.add(unit);
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

/**
 * Whether what was typed can change the rows of a table: it stands in the table, or in no table at all, as what the engine
 * is and has does.
 * @param {string} key @param {string} table
 */
export function concerns(key, table) {
  return !key.includes("/") || key.startsWith(`${table}/`);
}
