// The browser's database: opened when it is first needed, and again after it was closed under our hands.

import { openDB } from "idb";

/** @import { DBSchema, IDBPDatabase } from "idb" */
/** @import { StoredContent, StoredEntry } from "./jobs.js" */

/**
 * @typedef {DBSchema & {
 *   jobs: {key: string, value: StoredEntry},
 *   contents: {key: string, value: StoredContent},
 * }} Schema
 */

const NAME = "spillmark";

/**
 * Step n makes version n+1 of the database out of version n. A step that has been released is never changed.
 * @type {((database: IDBPDatabase<Schema>) => void)[]}
 */
const UPGRADES = [
  (database) => {
    database.createObjectStore("jobs", { keyPath: "job" });
    database.createObjectStore("contents", { keyPath: "job" });
  },
];

export class Database {
  /** @type {Promise<IDBPDatabase<Schema>> | undefined} */
  #opened;
  #onBlocked;

  /** @param {() => void} onBlocked called when other tabs have to be closed first */
  constructor(onBlocked) {
    this.#onBlocked = onBlocked;
  }

  /**
   * Do something with the database; what was wrong comes as the browser's own error.
   * @template Result
   * @param {(database: IDBPDatabase<Schema>) => Promise<Result>} act
   * @returns {Promise<Result>}
   */
  async run(act) {
    // Nothing but microtasks may pass before a transaction begins: the page may be about to go.
    const database = await this.#open();
    try {
      return await act(database);
    } catch (trouble) {
      // The browser has closed it, and we have not been told yet.
      if (!(trouble instanceof DOMException) || trouble.name !== "InvalidStateError") throw trouble;
      this.#opened = undefined;
      return act(await this.#open());
    }
  }

  #open() {
    if (this.#opened) return this.#opened;
    const opening = this.#connect();
    this.#opened = opening;
    // A failed opening is tried again by the next who needs it.
    opening.catch(() => this.#forget(opening));
    return opening;
  }

  /** @returns {Promise<IDBPDatabase<Schema>>} */
  async #connect() {
    /** @type {Promise<IDBPDatabase<Schema>>} */
    const opening = openDB(NAME, UPGRADES.length, {
      upgrade: (database, from) => UPGRADES.slice(from).forEach((step) => step(database)),
      blocked: () => this.#onBlocked(),
      // Somebody deletes the database or brings a newer version: make way.
      blocking: async () => {
        this.#opened = undefined;
        (await opening).close();
      },
      terminated: () => (this.#opened = undefined),
    });
    return opening;
  }

  /** @param {Promise<IDBPDatabase<Schema>>} opening */
  #forget(opening) {
    if (this.#opened === opening) this.#opened = undefined;
  }
}
