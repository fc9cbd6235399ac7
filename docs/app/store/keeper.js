// Keeps what is typed: every change goes into the browser's database, by itself and within a second. One tab writes a
// job; a second one waits for it, or goes on with a copy.

import { Claim, beginVisit, whileClosed } from "./claim.js";
import { asCopy, asStored, named, newJob, Overtaken, titleOf, Unreadable } from "./jobs.js";
import { bringIn, forget, leave } from "./lastwords.js";
import { troubleOf } from "./troubles.js";

/**
 * @import { Content, Sheet } from "../sheet.js"
 * @import { Jobs } from "./jobs.js"
 * @import { LastWords } from "./lastwords.js"
 * @import { Trouble } from "./troubles.js"
 */

/** Milliseconds from a change to its writing. */
const SOON = 300;
/** Milliseconds after which a write that failed is tried again. */
const AGAIN = 5000;
/** Milliseconds that a tab which is just closing may still hold a job. */
const PATIENCE = 400;
/** Milliseconds in which the last words of a tab that was closed arrive in the database. */
const LAST_WORDS = 500;

/** @param {Content} content @param {number} revision @returns {LastWords} */
function wordsOf(content, revision) {
  return { ...asStored(content), revision, at: Date.now() };
}

/** @extends EventTarget Tells of `changed` when the list or the state may be different, and of `retitled`. */
export class Keeper extends EventTarget {
  #sheet;
  #jobs;
  /** @type {Content} */
  #content;
  /** @type {Claim} */
  #claim;
  /** Whether this tab is the one that writes the job. */
  #owns = false;
  /** Whether something was changed since the last write began. */
  #dirty = false;
  /** @type {number | undefined} */
  #timer;
  /** The writes under way, one after the other. @type {Promise<void>} */
  #writing = Promise.resolve();
  /** What they write, by job. @type {Map<string, LastWords>} */
  #underWay = new Map();
  /** @type {Trouble | undefined} why nothing can be kept at the moment */
  trouble;
  /** The trouble that is over as soon as the database answers. @type {Trouble | undefined} */
  #blocked;
  /** Whether another tab has this job. */
  elsewhere = false;
  /** What else there is to say. */
  news = "";
  /** Whether the database has answered yet. */
  #answered = false;

  /** @param {Sheet} sheet @param {Jobs} jobs */
  constructor(sheet, jobs) {
    super();
    this.#sheet = sheet;
    this.#jobs = jobs;
    this.#content = sheet.content;
    this.#claim = this.#take();
    sheet.addEventListener("typed", (event) => this.#onTyped(/** @type {CustomEvent<string>} */ (event).detail));
    sheet.addEventListener("stepped", () => this.#onStepped());
    sheet.addEventListener("besides", () => this.#onBesides());
    sheet.addEventListener("replaced", () => this.#onReplaced());
    const flush = () => this.flush();
    document.addEventListener("visibilitychange", flush);
    window.addEventListener("pagehide", () => this.leave());
  }

  /** The job on the sheet. */
  get job() {
    return this.#content.job;
  }

  /** Whether what is typed can be relied on to be kept. */
  get isSound() {
    return this.#answered && !this.trouble;
  }

  /** Begin with the last job, unless something is on the sheet already. */
  async start() {
    const fresh = this.#content;
    await this.#attempt(async () => {
      await bringIn(this.#jobs);
      await beginVisit((isFirst) => this.#jobs.purge(isFirst));
      const last = await this.#jobs.last();
      const isUntouched = () => this.#content === fresh && !this.#dirty;
      if (last && isUntouched()) await this.#show(last.job, isUntouched);
    });
    this.#tell();
  }

  /** Open a kept job. @param {string} job @returns {Promise<boolean>} */
  open(job) {
    return this.#attempt(() => this.#show(job));
  }

  /** Write what was not written yet, without waiting for anything: the page may be about to go. */
  flush() {
    if (this.#dirty && this.#mayWrite) this.#write(this.#content, this.#claim);
  }

  /** The page is about to go, and perhaps before its writes are through. */
  leave() {
    for (const words of this.#underWay.values()) leave(words);
    // Also what was typed before the right to write came.
    if (this.#dirty && !this.elsewhere) leave(wordsOf(this.#content, this.#content.revision + 1));
    this.flush();
  }

  /** Go on with a copy of the job on the sheet. @param {string} [typing] the key that is being typed into */
  branch(typing = "") {
    const content = this.#content;
    this.#claim.release();
    content.job = newJob();
    content.revision = 0;
    // Nobody's words are changed under the hands.
    if (typing !== "title") content.texts.title = asCopy(content.texts).title;
    content.unsaved = true;
    this.#claim = this.#take();
    this.#dirty = true;
    this.news = `The job is open in another tab. You go on with a copy: “${named(titleOf(content.texts))}”.`;
    if (typing !== "title") this.dispatchEvent(new Event("retitled"));
    this.#soon();
    this.#tell();
  }

  /** @param {string} job @param {string} title */
  async rename(job, title) {
    if (job === this.job && !this.elsewhere) {
      this.#sheet.type("title", title);
      this.dispatchEvent(new Event("retitled"));
      this.flush();
      return;
    }
    await this.#toClosed(job, () => this.#jobs.rename(job, title));
  }

  /** @param {string} job */
  async copy(job) {
    this.flush();
    await this.#attempt(async () => {
      await this.#writing;
      this.news = `The copy is kept as “${await this.#jobs.copy(job)}”.`;
    });
  }

  /** Delete a job; the one on the sheet makes room for a blank form. @param {string} job @returns {Promise<boolean>} whether it is deleted */
  async remove(job) {
    if (job !== this.job || this.elsewhere) return this.#toClosed(job, () => this.#jobs.remove(job));
    this.flush();
    return this.#attempt(async () => {
      await this.#writing;
      await this.#jobs.remove(job);
      this.#sheet.replace({}, {});
    });
  }

  /** @param {string} job */
  bringBack(job) {
    return this.#attempt(() => this.#jobs.bringBack(job));
  }

  get #mayWrite() {
    // Nobody else knows of a job that was never kept.
    return this.#owns || (this.#content.revision === 0 && !this.elsewhere);
  }

  #tell() {
    this.dispatchEvent(new Event("changed"));
  }

  /** @param {string} key */
  #onTyped(key) {
    if (this.elsewhere) return this.branch(key);
    this.#dirty = true;
    this.#soon();
  }

  /** Where the person is in the job is no change of it. */
  #onStepped() {
    const { job, step, revision } = this.#content;
    // A write that is still to come brings it along.
    if (this.#owns && revision > 0) this.#jobs.goTo(job, step).catch(() => {});
  }

  /** What belongs in no job file makes no job of a form that nobody has typed in, and no copy of one that another tab has. */
  #onBesides() {
    if (this.elsewhere || (this.#content.revision === 0 && !this.#dirty)) return;
    this.#dirty = true;
    this.#soon();
  }

  #onReplaced() {
    const [left, claim] = [this.#content, this.#claim];
    const written = this.#dirty && this.#mayWrite ? this.#write(left, claim) : this.#writing;
    written.finally(() => claim.release());
    this.#content = this.#sheet.content;
    this.#claim = this.#take();
    // A file that was opened is a job of its own. The demo becomes one when something is typed in it.
    const { revision, unsaved } = this.#content;
    this.#dirty = unsaved || (revision === 0 && !this.#sheet.isBlank && !this.#sheet.isDemo);
    if (this.#dirty) this.#soon();
    this.#tell();
  }

  /** Ask for the sole right to write the job on the sheet. */
  #take() {
    const content = this.#content;
    const claim = new Claim(content.job);
    this.#owns = this.elsewhere = false;
    const look = async () => {
      const blocked = await claim.isBlocked().catch(() => false);
      if (claim !== this.#claim || !blocked || this.#owns) return;
      this.elsewhere = true;
      if (this.#dirty) this.branch();
      this.#tell();
    };
    // Nobody else knows of a job that was never kept.
    if (content.revision > 0) setTimeout(look, PATIENCE);
    claim.granted.then(() => {
      if (claim === this.#claim) this.#begin(content, claim);
    });
    return claim;
  }

  /** This tab is the one that writes: see first whether another one has gone on with the job. @param {Content} content @param {Claim} claim */
  async #begin(content, claim) {
    const waited = this.elsewhere;
    this.elsewhere = false;
    if (waited) await new Promise((go) => setTimeout(go, LAST_WORDS));
    if (claim !== this.#claim) return;
    if (content.revision > 0) {
      // Only now the page that had the job before is gone for certain, and has left what it had to leave.
      await bringIn(this.#jobs).catch(() => {});
      const there = await this.#jobs.entry(content.job).catch(() => undefined);
      if (claim !== this.#claim) return;
      if (there && there.revision !== content.revision) {
        const isUntouched = () => claim === this.#claim && !this.#dirty;
        if (isUntouched()) await this.#attempt(() => this.#show(content.job, isUntouched));
        if (claim === this.#claim && this.#dirty) return this.branch();
        if (waited) this.news = "The other tab is closed. You go on here with all that was typed there.";
        return this.#tell();
      }
      // Undo leads back to a job that was deleted.
      if (there?.deleted !== undefined) await this.#jobs.bringBack(content.job).catch(() => {});
      this.#jobs.touch(content.job).catch(() => {});
      if (claim !== this.#claim) return;
    }
    this.#owns = true;
    if (waited) this.news = "The other tab is closed. You go on here.";
    if (this.#dirty) this.#soon();
    this.#tell();
  }

  /**
   * @param {string} job
   * @param {() => boolean} [isWelcome] asked when the job has been read: somebody may have begun to type meanwhile
   */
  async #show(job, isWelcome = () => true) {
    const { texts, base, opened, beside, step, revision, lost } = await this.#jobs.read(job);
    if (!isWelcome()) return;
    this.#sheet.replace(texts, base, { job, revision, opened, step, beside });
    if (lost) {
      this.news = `A part of “${named(titleOf(texts))}” is damaged and could not be read. Compare what you see with your last job file.`;
    }
  }

  #soon(delay = SOON) {
    this.#timer ??= setTimeout(() => {
      this.#timer = undefined;
      this.flush();
    }, delay);
  }

  /** @param {Content} content @param {Claim} claim */
  #write(content, claim) {
    const isCurrent = () => this.#content === content && this.#claim === claim;
    const texts = { ...content.texts };
    const { job } = content;
    const revision = ++content.revision;
    this.#dirty = false;
    const words = wordsOf(content, revision);
    this.#underWay.set(job, words);
    /** Through with this write. @returns {boolean} whether it was the newest of this job */
    const settle = () => this.#underWay.get(job) === words && this.#underWay.delete(job);
    const written = this.#jobs.write(content, revision, claim.isSole);
    this.#writing = written.then(
      () => {
        if (settle()) forget(job);
        this.#answered = true;
        this.trouble = undefined;
        this.#sheet.saved(texts, content);
        this.#tell();
      },
      (trouble) => {
        settle();
        content.revision = Math.min(content.revision, revision - 1);
        if (trouble instanceof Overtaken) {
          if (isCurrent()) this.branch();
          return;
        }
        if (isCurrent()) {
          this.#dirty = true;
          this.#soon(AGAIN);
        }
        this.#fail(trouble);
      });
    return this.#writing;
  }

  /** @param {string} job @param {() => Promise<void>} act */
  async #toClosed(job, act) {
    let done = false;
    await this.#attempt(async () => {
      done = await whileClosed(job, act);
      if (!done) this.news = "This job is open in another tab. Do it there, or close that tab first.";
    });
    return done;
  }

  /** @param {() => Promise<void>} act @returns {Promise<boolean>} whether it was done */
  async #attempt(act) {
    this.news = "";
    try {
      await act();
      this.#answered = true;
      if (this.trouble === this.#blocked) this.trouble = undefined;
      this.#tell();
      return true;
    } catch (trouble) {
      if (trouble instanceof Unreadable) {
        this.#answered = true;
        this.news = trouble.message;
        this.#tell();
      } else {
        this.#fail(trouble);
      }
      return false;
    }
  }

  /** @param {unknown} trouble */
  #fail(trouble) {
    this.trouble = troubleOf(trouble);
    this.#tell();
  }

  /** The database waits for other tabs; what is typed meanwhile waits with it. @param {Trouble} trouble */
  wait(trouble) {
    this.trouble = this.#blocked = trouble;
    this.#tell();
  }
}
