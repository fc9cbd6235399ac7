// Words with a slip of the finger. The theme finds the beginnings of words, exactly as typed. A word that is found nowhere is
// asked for once more, with a letter or two different, and what is found then is the answer.

// The theme's messages to its worker and back.
const QUERY = 2;
const RESULT = 3;
// Shorter words have too many neighbours.
const SHORTEST = 4;
const LONG = 8;
const WORD = /^[\p{L}]+$/u;

/**
 * @typedef {{terms: Record<string, boolean>}} Found
 * @typedef {{type: number, data: unknown}} Message
 */

/**
 * The query once more, with those words loosened that nothing was found for; empty where none is.
 * @param {string} query
 * @param {Found[][]} items what was found, a list for each page
 */
export function loosened(query, items) {
  const words = query.trim().split(/\s+/);
  const nowhere = words.map(
    (word) =>
      word.length >= SHORTEST &&
      WORD.test(word) &&
      !items.some((page) => page.some(({ terms }) => terms[word.toLowerCase()])),
  );
  if (!nowhere.includes(true)) return "";
  return words.map((word, j) => (nowhere[j] ? `${word}~${word.length < LONG ? 1 : 2}` : word)).join(" ");
}

/** Stands between the theme and its worker. */
export class Mend {
  #query = "";
  #again = false;

  /** @param {unknown} message what the theme says */
  asked(message) {
    const { type, data } = /** @type {Message} */ (message);
    if (type !== QUERY) return;
    this.#query = String(data);
    this.#again = false;
  }

  /**
   * @param {unknown} message what the worker says
   * @returns {Message | undefined} what to ask instead of passing it on
   */
  answered(message) {
    const { type, data } = /** @type {Message} */ (message);
    if (type !== RESULT) return undefined;
    const { items } = /** @type {{items: Found[][]}} */ (data);
    if (this.#again) {
      // The word as it was typed is not among what was found, and need not be called missing.
      for (const { terms } of items.flat()) {
        for (const word of Object.keys(terms)) if (!terms[word]) delete terms[word];
      }
      return undefined;
    }
    const query = loosened(this.#query, items);
    if (!query) return undefined;
    this.#again = true;
    return { type: QUERY, data: query };
  }
}
