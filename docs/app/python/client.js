// The page's side of Python: starts it in a worker, says honestly how far it is, passes questions
// on and answers back, and starts it again when it has died. Nothing here knows what is computed.

import { program } from "../../generated/app/python.json";
import { run, UnreadableFile } from "./reading.js";

/**
 * @import { Attempt } from "./attempt.js"
 * @import { FromWorker, Starter } from "./messages.js"
 */

/**
 * @typedef {"reading" | "unpacking" | "starting" | "loading" | "ready" | "failed"} Phase
 * @typedef {{phase: Phase, text: string, detail?: string}} Progress
 * @typedef {{report: string, elsewhere: string}} Advice what to do when it stops on something, and when it does not start
 * @typedef {Record<string, any>} Json an object that JSON can hold
 * @typedef {{id: number, kind: string, text: string, overdue: number | undefined,
 *   resolve: (answer: Json | null) => void, reject: (trouble: Error) => void}} Question
 */

/** @type {Record<Exclude<Phase, "failed">, string>} */
const PHASES = {
  reading: "Reading the Python file.",
  unpacking: "Unpacking Python.",
  starting: "Starting Python.",
  loading: "Loading the calculation.",
  ready: "Python is ready.",
};

/**
 * Seconds without a sign of life, after which something counts as lost. A slow PC may take its time to
 * start Python or to answer; a worker that has not said a word by then was silently refused.
 */
const PATIENCE = { alive: 30, start: 120, answer: 60 };

/** @type {Advice} */
const JOB = { report: "Save the job file and report it.", elsewhere: "Save the job file, then open it in another browser." };

/** One more death than this within a page's life is no accident: stop trying. */
const MOST_RESTARTS = 3;

/** The file that knows how to start lies beside the script that this module is bundled into. */
const STARTER = new URL("python-start.js", /** @type {HTMLScriptElement | null} */ (document.currentScript)?.src ?? document.baseURI);

/** A start or an answer that did not come about; `message` is meant for the person at the page. */
export class PythonTrouble extends Error {
  /** @param {string} text @param {string} [detail] what the machine said, for who can use it */
  constructor(text, detail) {
    super(text);
    this.name = "PythonTrouble";
    this.detail = detail;
  }
}

/** @returns {PythonTrouble | undefined} what this browser lacks, before anything is started */
function whatIsMissing() {
  const newer = "Open this page in a newer Chromium, Chrome, Edge or Firefox.";
  if (typeof WebAssembly !== "object") {
    return new PythonTrouble(`This browser cannot run WebAssembly, or it is switched off. ${newer}`);
  }
  if (typeof DecompressionStream !== "function") {
    return new PythonTrouble(`This browser cannot unpack the Python file (no DecompressionStream). ${newer}`);
  }
  if (typeof Worker !== "function") {
    return new PythonTrouble(`This browser has no workers, or they are switched off. ${newer}`);
  }
  return undefined;
}

/** @returns {Promise<Starter>} */
async function starter() {
  if (!globalThis.spillmarkStart) await run(STARTER);
  const { spillmarkStart: there } = globalThis;
  if (!there) throw new UnreadableFile("The Python file is damaged. Copy the whole site folder again.", STARTER.href);
  if (there.program !== program) {
    throw new UnreadableFile("The Python file is of another version of this site. Copy the whole site folder again.", STARTER.href);
  }
  return there;
}

/**
 * Python in a worker. `ready` resolves with Python's answer to "hello" and rejects with a
 * PythonTrouble; after a restart it is a new promise. Questions asked before Python is ready wait.
 */
export class Python {
  /** @type {Attempt | undefined} */
  #attempt;
  /** @type {Map<number, Question>} asked and not yet answered, oldest first */
  #asked = new Map();
  /** @type {Question[]} not yet asked, because Python is not ready or the same kind is being answered */
  #waiting = [];
  /** @type {number | undefined} */
  #aliveOverdue;
  /** @type {number | undefined} */
  #startOverdue;
  /** @type {PythonTrouble | undefined} why there is no Python to ask, and none on its way */
  #trouble;
  /** @type {(trouble: PythonTrouble) => void} */
  #giveUp = () => {};
  /** @type {(hello: Json) => void} */
  #isReady = () => {};
  /** Whether the worker has said a word. */
  #alive = false;
  #running = false;
  /** Each try has its number, so that one that comes to life too late is known. */
  #launches = 0;
  #lastId = 0;
  #restarts = 0;
  /** Whether to restore Python from its snapshot; not again after that has failed. */
  #warm = true;
  #onPhase;
  #advice;

  /** @type {Promise<Json>} */
  ready;
  /** @type {Record<string, number>} milliseconds to each part of the last start, from the page's own start */
  times = {};

  /** @param {{onPhase?: (progress: Progress) => void, advice?: Advice}} [options] */
  constructor({ onPhase = () => {}, advice = JOB } = {}) {
    this.#onPhase = onPhase;
    this.#advice = advice;
    this.ready = this.#start();
  }

  /**
   * Ask Python; the answer is an object. Rejects when `calc` raised an exception or Python died.
   * @param {Json} request
   * @returns {Promise<Json>}
   */
  call(request) {
    return /** @type {Promise<Json>} */ (this.#enqueue("", request));
  }

  /**
   * Ask Python where only the newest answer counts. While one question of a kind is being answered,
   * only the newest of the same kind waits; a question that a newer one has overtaken resolves to null.
   * @param {string} kind
   * @param {Json} request
   * @returns {Promise<Json | null>}
   */
  callLatest(kind, request) {
    const overtaken = this.#waiting.findIndex((question) => question.kind === kind);
    if (overtaken >= 0) this.#waiting.splice(overtaken, 1)[0].resolve(null);
    return this.#enqueue(kind, request);
  }

  /** End Python. Open questions are rejected. */
  stop() {
    this.#trouble = new PythonTrouble("Python was stopped.");
    this.#end(this.#trouble);
  }

  /** End Python and start it afresh. Open questions are rejected. @returns {Promise<Json>} */
  restart() {
    this.stop();
    this.ready = this.#start();
    return this.ready;
  }

  /**
   * @param {string} kind
   * @param {Json} request
   * @returns {Promise<Json | null>}
   */
  #enqueue(kind, request) {
    if (this.#trouble) return Promise.reject(this.#trouble);
    return new Promise((resolve, reject) => {
      this.#waiting.push({
        id: ++this.#lastId, kind, text: JSON.stringify(request), overdue: undefined, resolve, reject,
      });
      this.#askNext();
    });
  }

  #askNext() {
    if (!this.#running) return;
    const busy = new Set([...this.#asked.values()].map((question) => question.kind));
    this.#waiting = this.#waiting.filter((question) => {
      if (question.kind && busy.has(question.kind)) return true;
      busy.add(question.kind);
      this.#asked.set(question.id, question);
      question.overdue = setTimeout(() => this.#died("gave no answer in time"), PATIENCE.answer * 1000);
      this.#attempt?.tell({ kind: "ask", id: question.id, text: question.text });
      return false;
    });
  }

  /** @param {Exclude<Phase, "failed">} phase */
  #enter(phase) {
    document.documentElement.dataset.calc = phase === "ready" ? "ready" : "loading";
    this.times[phase] = Math.round(performance.now());
    this.#onPhase({ phase, text: PHASES[phase] });
    clearTimeout(this.#startOverdue);
    if (phase !== "ready") {
      const late = () => this.#startFailed(new PythonTrouble(
        `Python did not start: nothing happened for ${PATIENCE.start} seconds. Close other pages and programs, then load this page again.`,
        `phase: ${phase}`,
      ));
      this.#startOverdue = setTimeout(late, PATIENCE.start * 1000);
    }
  }

  /** @returns {Promise<Json>} */
  #start() {
    this.#trouble = undefined;
    /** @type {Promise<Json>} */
    const ready = new Promise((resolve, reject) => {
      this.#giveUp = (trouble) => {
        this.#trouble = trouble;
        this.#end(trouble);
        document.documentElement.dataset.calc = "failed";
        this.#onPhase({ phase: "failed", text: trouble.message, detail: trouble.detail });
        reject(trouble);
      };
      this.#isReady = resolve;
      this.#launch();
    });
    // A page that only looks at the phases need not handle the promise as well.
    ready.catch(() => {});
    return ready;
  }

  /** A worker, and what it starts from. */
  async #launch() {
    this.#enter("reading");
    const missing = whatIsMissing();
    if (missing) return this.#giveUp(missing);
    const launch = ++this.#launches;
    try {
      const { begin } = await starter();
      // Stopped meanwhile, or begun anew.
      if (launch !== this.#launches) return;
      this.#attempt = begin(this.#warm);
    } catch (trouble) {
      if (launch !== this.#launches) return;
      return this.#giveUp(trouble instanceof UnreadableFile
        ? new PythonTrouble(trouble.message, trouble.address)
        : new PythonTrouble("This browser refused to start the Python worker.", String(trouble)));
    }
    this.#aliveOverdue = setTimeout(() => this.#died("gave no sign of life"), PATIENCE.alive * 1000);
    this.#attempt.listen((message) => this.#hear(message));
  }

  /** @param {FromWorker} message */
  #hear(message) {
    switch (message.kind) {
      case "alive":
        this.#alive = true;
        clearTimeout(this.#aliveOverdue);
        break;
      case "phase":
        this.#enter(message.phase);
        break;
      case "ready":
        this.#running = true;
        document.documentElement.dataset.start = this.#warm ? "snapshot" : "cold";
        this.#enter("ready");
        for (const [part, at] of Object.entries(message.times)) this.times[`worker: ${part}`] = at;
        this.#isReady(JSON.parse(message.hello));
        this.#askNext();
        break;
      case "unreadable":
        if (this.#warm) this.#startCold();
        else this.#giveUp(new PythonTrouble(message.text, message.address));
        break;
      case "failed":
        if (message.lacks) this.#warm = false;
        this.#died(message.text);
        break;
      case "answer":
      case "wrong":
        this.#settle(message);
        this.#askNext();
        break;
    }
  }

  /** @param {Extract<FromWorker, {id: number}>} message */
  #settle({ kind, id, text }) {
    const question = this.#asked.get(id);
    if (!question) return;
    clearTimeout(question.overdue);
    this.#asked.delete(id);
    /** @param {string} detail */
    const reject = (detail) => question.reject(new PythonTrouble(
      `The calculation stopped on these entries. What you typed is kept. ${this.#advice.report}`,
      detail,
    ));
    if (kind === "wrong") return reject(text);
    try {
      question.resolve(JSON.parse(text));
    } catch (trouble) {
      // Python writes NaN and Infinity where JSON has no such numbers.
      reject(String(trouble));
    }
  }

  /**
   * A start from the snapshot is followed by one from nothing, and questions go on waiting. After that there is nothing left to try.
   * @param {PythonTrouble} trouble
   */
  #startFailed(trouble) {
    if (!this.#warm || !this.#alive) return this.#giveUp(trouble);
    this.#startCold();
  }

  /** The snapshot only makes the start quick: without it, all begins anew from the files that it was made from. */
  #startCold() {
    this.#warm = false;
    this.#dismiss();
    this.#launch();
  }

  /**
   * The worker is of no more use. Before the first answer that is a failed start; afterwards Python
   * is started again, a few times.
   * @param {string} detail
   */
  #died(detail) {
    const keep = `What you typed is kept. ${this.#advice.elsewhere}`;
    if (!this.#running) {
      return this.#startFailed(new PythonTrouble(`Python did not start in this browser. ${keep}`, detail));
    }
    if (this.#restarts === MOST_RESTARTS) {
      return this.#giveUp(new PythonTrouble(`Python has stopped ${MOST_RESTARTS + 1} times. ${keep}`, detail));
    }
    this.#restarts++;
    this.#end(new PythonTrouble("Python stopped while it was calculating. It is being started again.", detail));
    this.ready = this.#start();
  }

  #dismiss() {
    this.#launches++;
    this.#attempt?.end();
    this.#attempt = undefined;
    this.#alive = false;
    this.#running = false;
    clearTimeout(this.#aliveOverdue);
    clearTimeout(this.#startOverdue);
  }

  /** @param {PythonTrouble} trouble what open questions are told */
  #end(trouble) {
    this.#dismiss();
    const open = [...this.#asked.values(), ...this.#waiting];
    this.#asked.clear();
    this.#waiting = [];
    for (const question of open) {
      clearTimeout(question.overdue);
      question.reject(trouble);
    }
  }
}

/**
 * Start Python. Call it once the page can be read and typed into.
 * @param {ConstructorParameters<typeof Python>[0]} [options]
 */
export function startPython(options) {
  return new Python(options);
}
