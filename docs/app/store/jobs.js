// The kept jobs. Each has a short entry for the list and, apart from it, what the person has typed.

import { progressOf } from "./progress.js";

/**
 * @import { Base, Content, Texts } from "../sheet.js"
 * @import { Database } from "./database.js"
 * @import { LastWords } from "./lastwords.js"
 * @import { Progress } from "./progress.js"
 */
/**
 * @typedef {object} StoredEntry
 * @property {string} job
 * @property {number} revision counts the writes, so that one tab notices another's
 * @property {string} title
 * @property {number} changed milliseconds, as `Date.now()` gives them
 * @property {number} used when it was last opened or changed
 * @property {Progress} progress
 * @property {string} [step] the step of the job that was open last
 * @property {number} [deleted] when; it can still be brought back
 */
/** @typedef {{job: string, version: number, texts: Texts, base: Base, opened: string[], beside?: Record<string, unknown>}} StoredContent `beside`: see Content */
/** @typedef {Pick<Content, "texts" | "base" | "opened" | "beside"> & {job: string, revision: number, step: string, lost: number}} ReadJob `lost`: entries that could not be read */

/** The form of a stored content. A newer form is never read by guessing. */
const VERSION = 1;
const BOTH = /** @type {const} */ (["jobs", "contents"]);
/** A write is on the disk when it says so: ships have blackouts. @type {IDBTransactionOptions} */
const ON_DISK = { durability: "strict" };
const DAY = 24 * 3600 * 1000;
const LONGEST_TITLE = 120;

/** The job was written by somebody else since it was read. */
export class Overtaken extends Error {}

/** A stored job that cannot be opened; `message` is meant for the person at the page. */
export class Unreadable extends Error {}

/** A promise that is waited for later, unless something else fails before. @template Result @param {Promise<Result>} promise */
function later(promise) {
  promise.catch(() => {});
  return promise;
}

/** @returns {string} */
export function newJob() {
  // randomUUID is not there over http from another machine.
  return [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** @param {unknown} value @returns {value is Record<string, unknown>} */
function isObject(value) {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

/** @param {Texts} texts */
export function titleOf(texts) {
  return (texts.title ?? "").trim().slice(0, LONGEST_TITLE);
}

/** @param {string} title */
export function named(title) {
  return title || "Job without a title";
}

/** @param {Texts} texts @returns {Texts} */
export function asCopy(texts) {
  return { ...texts, title: `${named(titleOf(texts))} (copy)` };
}

/** @param {Pick<Content, "job" | "texts" | "base" | "opened" | "beside">} content @returns {StoredContent} */
export function asStored({ job, texts, base, opened, beside }) {
  return { job, version: VERSION, texts: { ...texts }, base, opened, beside: { ...beside } };
}

/** Milliseconds that are a date; 0 for anything else. @param {unknown} stored */
function momentOf(stored) {
  return (typeof stored === "number" && new Date(stored).getTime()) || 0;
}

/** An entry as it can be listed, whatever has become of it. @param {StoredEntry} stored @returns {StoredEntry} */
function soundEntry({ job, revision, title, changed, used, progress, step, deleted }) {
  const known = isObject(progress) && typeof progress.units === "number" && isObject(progress.read);
  return {
    job,
    // What is in the list has been kept at least once.
    revision: Number.isSafeInteger(revision) ? revision : 1,
    title: typeof title === "string" ? title : "",
    changed: momentOf(changed),
    used: momentOf(used),
    progress: known ? progress : { units: 0, read: {} },
    ...(typeof step === "string" ? { step } : {}),
    ...(typeof deleted === "number" ? { deleted } : {}),
  };
}

/** @param {Pick<StoredEntry, "job" | "revision" | "title" | "step">} entry @param {StoredContent | undefined} stored @returns {ReadJob} */
function soundContent({ job, revision, title, step = "" }, stored) {
  if (isObject(stored) && stored.version > VERSION) {
    throw new Unreadable(`A newer version of this worksheet has written “${named(title)}”. Open it there, and save a job file. Then open that file here.`);
  }
  if (!isObject(stored) || !isObject(stored.texts)) {
    throw new Unreadable(`“${named(title)}” is damaged and cannot be opened. Open its last job file. The damaged job stays in the list until you delete it.`);
  }
  const texts = Object.fromEntries(Object.entries(stored.texts).filter(([, text]) => typeof text === "string"));
  const { base, opened, beside } = stored;
  return {
    job,
    revision,
    step,
    texts,
    base: isObject(base) ? base : {},
    opened: Array.isArray(opened) ? opened.filter((key) => typeof key === "string") : [],
    beside: isObject(beside) ? beside : {},
    lost: Object.keys(stored.texts).length - Object.keys(texts).length + Number(!isObject(base)),
  };
}

export class Jobs {
  #database;
  /** The newest use that was seen: a clock that was set back does not make what comes next older. */
  #newestUse = 0;

  /** @param {Database} database */
  constructor(database) {
    this.#database = database;
  }

  /** All jobs, the last changed first, those deleted in this visit among them. */
  async list() {
    const entries = (await this.#database.run((database) => database.getAll("jobs"))).map(soundEntry);
    for (const { used } of entries) this.#newestUse = Math.max(this.#newestUse, used);
    return entries.sort((a, b) => b.changed - a.changed);
  }

  /** The job that was open last. */
  async last() {
    const entries = (await this.list()).filter(({ deleted }) => deleted === undefined);
    return entries.sort((a, b) => b.used - a.used).at(0);
  }

  /** @param {string} job */
  async entry(job) {
    const stored = await this.#database.run((database) => database.get("jobs", job));
    return stored && soundEntry(stored);
  }

  /** @param {string} job @returns {Promise<ReadJob>} */
  async read(job) {
    const { entry, content } = await this.#database.run(async (database) => {
      const reading = database.transaction(BOTH);
      const [entry, content] = await Promise.all([reading.objectStore("jobs").get(job), reading.objectStore("contents").get(job)]);
      return { entry, content };
    });
    if (!entry) throw new Unreadable("This job is no longer kept in this browser. Open its job file.");
    return soundContent(soundEntry(entry), content);
  }

  /**
   * Keep a job as it is now, also one that was deleted meanwhile.
   * @param {Pick<Content, "job" | "texts" | "base" | "opened" | "beside"> & {step?: string}} content without a step, that stays as it was
   * @param {number} revision of this write
   * @param {boolean} isSole whether no other tab can write it, so that there is nothing to look for first
   * @param {number} [used] when it was last on a sheet
   */
  write({ job, texts, base, opened, beside, step }, revision, isSole, used = this.#use()) {
    /** @type {StoredEntry} */
    const entry = { job, revision, title: titleOf(texts), changed: Date.now(), used, progress: progressOf(texts), step };
    const stored = asStored({ job, texts, base, opened, beside });
    return this.#database.run(async (database) => {
      const writing = database.transaction(BOTH, "readwrite", ON_DISK);
      later(writing.done);
      if (!isSole) {
        const there = await writing.objectStore("jobs").get(job);
        if (there && there.revision >= revision) throw new Overtaken();
        entry.step ??= there?.step;
        // Words that were left by a clock that was set back since.
        entry.used = Math.max(used, momentOf(there?.used));
      }
      const asked = [later(writing.objectStore("jobs").put(entry)), later(writing.objectStore("contents").put(stored))];
      // The page may be about to go, and then nobody would hear that the browser is through with it.
      writing.commit();
      await Promise.all([...asked, writing.done]);
    });
  }

  /**
   * Write what a page has left that is gone, unless that write has arrived after all.
   * @param {LastWords} words
   * @returns {Promise<boolean>} whether they are of no more use
   */
  async catchUp(words) {
    // Left by a newer version of the worksheet, which will come back for it.
    if (words.version > VERSION) return false;
    try {
      const { texts, base, opened, beside } = soundContent({ ...words, title: "" }, words);
      await this.write({ job: words.job, texts, base, opened, beside }, words.revision, false, words.at);
    } catch (trouble) {
      if (!(trouble instanceof Overtaken || trouble instanceof Unreadable)) throw trouble;
    }
    return true;
  }

  /** @param {string} job */
  touch(job) {
    const used = this.#use();
    return this.#change(job, (entry) => ({ ...entry, used }));
  }

  /** Come back to this step. @param {string} job @param {string} step */
  goTo(job, step) {
    return this.#change(job, (entry) => ({ ...entry, step }));
  }

  /** Delete a job; it can be brought back until the next visit. @param {string} job */
  remove(job) {
    return this.#change(job, (entry) => ({ ...entry, deleted: Date.now() }));
  }

  /** @param {string} job */
  bringBack(job) {
    return this.#change(job, ({ deleted, ...entry }) => entry);
  }

  /** @param {string} job @param {string} title */
  async rename(job, title) {
    const { revision, step, ...content } = await this.read(job);
    const entry = await this.entry(job);
    const { title: before, ...others } = content.texts;
    const texts = title ? { ...others, title } : others;
    await this.write({ ...content, texts }, revision + 1, false, entry?.used);
  }

  /** @param {string} job @returns {Promise<string>} the copy's title */
  async copy(job) {
    const content = await this.read(job);
    const texts = asCopy(content.texts);
    await this.write({ ...content, job: newJob(), texts }, 1, false, 0);
    return titleOf(texts);
  }

  /** Let go for good what was deleted in an earlier visit. @param {boolean} isFirst whether no other tab is open, as far as can be known */
  purge(isFirst) {
    return this.#database.run(async (database) => {
      const writing = database.transaction(BOTH, "readwrite");
      later(writing.done);
      const gone = (await writing.objectStore("jobs").getAll()).filter(
        ({ deleted }) => typeof deleted === "number" && (isFirst || deleted < Date.now() - DAY));
      await Promise.all([
        ...gone.flatMap(({ job }) => BOTH.map((name) => writing.objectStore(name).delete(job))),
        writing.done,
      ]);
    });
  }

  /** The time of a use: now, or just after the newest where the clock says something earlier. */
  #use() {
    this.#newestUse = Math.max(Date.now(), this.#newestUse + 1);
    return this.#newestUse;
  }

  /** @param {string} job @param {(entry: StoredEntry) => StoredEntry} change */
  #change(job, change) {
    return this.#database.run(async (database) => {
      const writing = database.transaction("jobs", "readwrite");
      later(writing.done);
      const entry = await writing.store.get(job);
      if (entry) await writing.store.put(change(entry));
      await writing.done;
    });
  }
}
