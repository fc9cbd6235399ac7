// What is answered in the lessons, kept on this computer only, for all lesson pages together.

import { share, sharedTexts } from "./shared.js";

/**
 * @typedef {object} Done how far somebody is with one question
 * @property {number} tries answers given until it was right
 * @property {boolean} looked whether the working was opened before it was right
 * @property {boolean} right
 * @property {number} at when this was last changed, in seconds
 * @typedef {{reset: number, questions: Map<string, Done>}} Kept `reset`: nothing from before then counts
 */

const PLACE = "spillmark.lessons";
const BETWEEN = "~";

/** @param {Kept} kept */
export function written({ reset, questions }) {
  const each = [...questions].map(([name, { tries, looked, right, at }]) =>
    [name, tries, Number(looked), Number(right), at.toString(36)].join("."));
  return [reset.toString(36), ...each].join(BETWEEN);
}

/** The text of `written` read back; what is not of its form is passed over. @param {string | null | undefined} text @returns {Kept} */
export function read(text) {
  const [reset = "", ...each] = (text ?? "").split(BETWEEN);
  /** @type {Map<string, Done>} */
  const questions = new Map();
  for (const one of each) {
    const found = /^([a-z0-9-]+)\.(\d{1,4})\.([01])\.([01])\.([0-9a-z]{1,8})$/.exec(one);
    if (!found) continue;
    const [, name, tries, looked, right, at] = found;
    questions.set(name, { tries: Number(tries), looked: looked === "1", right: right === "1", at: parseInt(at, 36) });
  }
  return { reset: /^[0-9a-z]{1,8}$/.test(reset) ? parseInt(reset, 36) : 0, questions };
}

/** What two places know, brought together. @param {Kept} one @param {Kept} other @returns {Kept} */
export function together(one, other) {
  const reset = Math.max(one.reset, other.reset);
  const questions = new Map();
  for (const [name, done] of [...one.questions, ...other.questions]) {
    const known = questions.get(name);
    if (done.at > reset && (!known || isBetter(done, known))) questions.set(name, done);
  }
  return { reset, questions };
}

/** A right answer stays; of two, the first counts. Until then the newest does. @param {Done} done @param {Done} known */
function isBetter(done, known) {
  if (done.right !== known.right) return done.right;
  return done.right ? done.at < known.at : done.at > known.at;
}

/** @returns {Kept} */
export function load() {
  return sharedTexts(PLACE).map(read).reduce(together, read(""));
}

function now() {
  return Math.floor(Date.now() / 1000);
}

/** The progress that all pages share. @extends EventTarget Tells of `changed`. */
class Progress extends EventTarget {
  #kept = load();

  constructor() {
    super();
    if (!this.isBlank || this.#kept.reset) share(PLACE, written(this.#kept));
    // Another page of this site has written, or this one comes back from the browser's memory.
    addEventListener("storage", ({ key }) => key === PLACE && this.#again());
    addEventListener("pageshow", ({ persisted }) => persisted && this.#again());
  }

  /** @param {string} name @returns {Done | undefined} */
  of(name) {
    return this.#kept.questions.get(name);
  }

  /** An answer was given. @param {string} name @param {boolean} right */
  answered(name, right) {
    const done = this.of(name) ?? { tries: 0, looked: false, right: false, at: 0 };
    if (!done.right) this.#put(name, { ...done, tries: done.tries + 1, right, at: now() });
  }

  /** The working was opened. @param {string} name */
  looked(name) {
    const done = this.of(name) ?? { tries: 0, looked: false, right: false, at: 0 };
    if (!done.right && !done.looked) this.#put(name, { ...done, looked: true, at: now() });
  }

  get isBlank() {
    return this.#kept.questions.size === 0;
  }

  /** Forget all of it. @returns {() => void} brings it back */
  forget() {
    const before = this.#kept.questions;
    // Also what was answered before the clock was set back.
    const reset = Math.max(now(), this.#kept.reset, ...[...before.values()].map(({ at }) => at));
    this.#write({ reset, questions: new Map() });
    return () => {
      // What comes back is newer than the forgetting: no page drops it again.
      const back = [...before].map(([name, done]) => /** @type {[string, Done]} */ ([name, { ...done, at: Math.max(done.at, reset + 1) }]));
      this.#write({ reset, questions: new Map([...back, ...this.#kept.questions]) });
    };
  }

  /** @param {string} name @param {Done} done */
  #put(name, done) {
    // Another page may have gone on meanwhile. What was forgotten this second is over.
    const kept = together(this.#kept, load());
    // A clock that was set back does not make the newest state of a question an old one.
    const at = Math.max(done.at, kept.reset + 1, (kept.questions.get(name)?.at ?? 0) + 1);
    this.#write({ ...kept, questions: new Map(kept.questions).set(name, { ...done, at }) });
  }

  /** @param {Kept} kept */
  #write(kept) {
    this.#kept = kept;
    share(PLACE, written(kept));
    this.dispatchEvent(new Event("changed"));
  }

  #again() {
    this.#kept = load();
    this.dispatchEvent(new Event("changed"));
  }
}

export const progress = new Progress();

/** Whether a question was right at the first answer, without a look at the working. @param {Done | undefined} done */
export function isFirstTry(done) {
  return Boolean(done?.right && done.tries === 1 && !done.looked);
}

/**
 * How far somebody is with a lesson.
 * @param {string[]} questions their names
 */
export function lessonProgress(questions) {
  const done = questions.map((name) => progress.of(name)).filter((each) => each?.right);
  return {
    right: done.length,
    first: done.filter(isFirstTry).length,
    /** The day on which the last of them was right, once all are. */
    day: done.length === questions.length ? new Date(1000 * Math.max(...done.map((each) => each?.at ?? 0))) : undefined,
  };
}
