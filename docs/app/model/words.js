// The model's texts: calc's words with numbers in their places.

import table, { words } from "./table.js";
import { made, side } from "./pump.js";

/** @typedef {import("./table.js").Setting} Setting */
/** @typedef {import("./table.js").Place} Place */
/** @typedef {import("./table.js").Control} Control */

/** A number of hundredths as people read it; with one digit it is whole tenths. @param {number} value */
export function hundredths(value, digits = 2) {
  const size = Math.abs(value);
  const text = `${Math.floor(size / 100)}.${String(size % 100).padStart(2, "0")}`;
  return digits === 2 ? text : text.slice(0, -1);
}

/** @param {string} text @param {Record<string, string>} values */
export const filled = (text, values) => text.replace(/\{(\w+)\}/g, (_, name) => values[name]);

/** @param {number} value hundredths of a millimetre */
export const millimetres = (value) => filled(words.mm, { n: hundredths(value) });

/** @param {Control} control @param {number} value */
export function said(control, value) {
  const text = value === 0 ? control.none : value > 0 ? control.more : control.less;
  return filled(text, { n: hundredths(value * control.hundredths, control.digits) });
}

/** @param {number} angle hundredths of a degree */
export function angleSaid(angle, short = false) {
  if (angle === 0) return words.tdc;
  return filled(words[(angle < 0 ? "before" : "after") + (short ? "_short" : "")], { n: hundredths(angle) });
}

/** @param {"suction" | "spill"} valve @param {number} reading */
function valveSaid(valve, reading) {
  const state = reading === 0 ? "seat" : reading === table.seat_digits ? "contact" : "open";
  return filled(words[`${valve}_${state}`], { n: hundredths(reading) });
}

/**
 * All that the picture shows, as sentences.
 *
 * @param {Place} place @param {Setting} setting @param {ReturnType<typeof import("./pump.js").shown>} now
 */
export function described(place, setting, now) {
  return [
    `${filled(words.flywheel, { angle: angleSaid(place.flywheel) })}, ${words[side(place, setting)]}`,
    filled(words.plunger, { n: hundredths(now.plunger) }),
    valveSaid("suction", now.suction),
    valveSaid("spill", now.spill),
    filled(words.chamber, { state: words[now.chamber] }),
  ].join(" ");
}

/** What a setting makes, in words. @param {Setting} setting @returns {Record<string, string>} */
export function madeSaid(setting) {
  const found = made(setting);
  /** @param {{lift: number, angle: number}} event */
  const event = ({ lift, angle }) => filled(words.lift_angle, { n: hundredths(lift), angle: angleSaid(angle) });
  return {
    start: event(found.start),
    end: event(found.end),
    stroke: found.delivers ? millimetres(found.stroke) : words.nothing,
    delivery: found.delivers ? filled(words.degrees, { n: hundredths(found.delivery) }) : words.nothing,
    opening: millimetres(found.opening),
  };
}
