// What the practice page keeps in this browser: the engine that is being worked on, and the results. Both outlive the page.

/**
 * @typedef {{cause: string, way: string, amount: string}} Answer
 * @typedef {{number: number, level: number, actions: unknown[], answers: Record<string, Answer>, checked: boolean}} Open
 *   an engine being worked on; `checked` once its result was shown
 * @typedef {{seed: number, level: number, score: number, date: string}} Done one result; other pages read this list
 */

import { share, sharedTexts } from "../shared.js";

const RESULTS = "spillmark.practice";
/** So many fit where a browser shares little between the pages of a folder; the newest count. */
const MOST_RESULTS = 30;
const OPEN = "spillmark.practice.open";

/** @param {string} place @returns {unknown} */
function read(place) {
  try {
    return JSON.parse(localStorage.getItem(place) ?? "null");
  } catch {
    return null;
  }
}

/** @param {string} place @param {unknown} value */
function write(place, value) {
  try {
    localStorage.setItem(place, JSON.stringify(value));
  } catch {
    // No room, or no storage at all: it lasts as long as the page.
  }
}

/** @returns {Open | null} the engine that an earlier page has left; none where it is nothing that this page keeps */
export function readOpen() {
  const open = /** @type {any} */ (read(OPEN));
  if (!Number.isInteger(open?.number) || !Number.isInteger(open?.level) || !Array.isArray(open?.actions)) return null;
  /** @type {Record<string, Answer>} */
  const answers = {};
  for (const [key, each] of Object.entries(/** @type {Record<string, any>} */ (open.answers ?? {}))) {
    const [cause, way, amount] = ["cause", "way", "amount"].map((part) => (typeof each?.[part] === "string" ? each[part] : ""));
    answers[key] = { cause, way, amount };
  }
  return { number: open.number, level: open.level, actions: open.actions, answers, checked: open.checked === true };
}

/** @param {Open} open */
export function keepOpen(open) {
  write(OPEN, open);
}

/** @param {string} text @returns {Done[]} */
function readResults(text) {
  try {
    const list = JSON.parse(text);
    return Array.isArray(list) ? list.filter((each) => Number.isFinite(each?.score) && Number.isFinite(each?.level)) : [];
  } catch {
    return [];
  }
}

/** @returns {Done[]} oldest first; those of both places where a browser keeps them, each once */
export function results() {
  const every = sharedTexts(RESULTS).flatMap(readResults);
  return [...new Map(every.map((each) => [`${each.seed}/${each.level}`, each])).values()].sort((one, other) => (one.date < other.date ? -1 : 1));
}

/** @param {Done} done */
export function keepResult(done) {
  share(RESULTS, JSON.stringify([...results(), done].slice(-MOST_RESULTS)));
}
