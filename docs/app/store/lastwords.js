// What a page that goes was still writing. Firefox gives up a write whose page's process ends first, and the process of pages
// from a folder ends with the last of them. So such a page also leaves its words in localStorage, which has them when the call
// returns; the next page brings them into the database.

/** @import { Jobs, StoredContent } from "./jobs.js" */
/** @typedef {StoredContent & {revision: number, at: number}} LastWords `revision`: of the write that may not arrive */

const PREFIX = "spillmark-last-words-";

/** @param {LastWords} words */
export function leave(words) {
  try {
    localStorage.setItem(PREFIX + words.job, JSON.stringify(words));
  } catch {
    // No room, or no storage at all: the write is under way in any case.
  }
}

/** The job's words have arrived. @param {string} job */
export function forget(job) {
  try {
    localStorage.removeItem(PREFIX + job);
  } catch {
    // Where there is no storage there are no words.
  }
}

/** Bring all that was left into the database, unless it has arrived there or somebody has gone on from it. @param {Jobs} jobs */
export async function bringIn(jobs) {
  for (const words of left()) {
    if (await jobs.catchUp(words)) forget(words.job);
  }
}

/** @returns {LastWords[]} */
function left() {
  try {
    return Object.keys(localStorage).filter((name) => name.startsWith(PREFIX)).flatMap((name) => read(localStorage.getItem(name)));
  } catch {
    return [];
  }
}

/** @param {string | null} text @returns {LastWords[]} none where it is nothing that this page leaves */
function read(text) {
  try {
    const words = JSON.parse(text ?? "");
    return typeof words.job === "string" && typeof words.revision === "number" ? [words] : [];
  } catch {
    return [];
  }
}
