// The Python worker. It is bundled into a text, and the page starts it from a `data:` address: the
// only way to get a module worker on file:// in every browser. It can therefore reach no file; all
// that it needs comes in messages from the page, and it does with each file what it can before the next one is there.

import { Files } from "./files.js";
import { coldStart, warmStart } from "./starting.js";

/** @import { FromWorker, ToWorker, WorkerPhase } from "./messages.js" */

const files = new Files();

/** Milliseconds since the worker began, at the end of each part of starting. */
const times = /** @type {Record<string, number>} */ ({});

/** @type {((text: string) => string) | undefined} */
let respond;

/** Whether Python came from a snapshot, so that it has no files to import from. */
let restored = false;

/** Python's exceptions when a module's file is not there. */
const LACKING = new Set(["ImportError", "ModuleNotFoundError", "ZipImportError", "FileNotFoundError", "EOFError", "OSError"]);

/** @param {FromWorker} message */
function tell(message) {
  self.postMessage(message);
}

/** @param {WorkerPhase} phase */
function enter(phase) {
  tell({ kind: "phase", phase });
}

/** @param {string} part */
function clock(part) {
  times[part] = Math.round(performance.now());
}

/**
 * Python's own last line says what happened; a stack trace helps nobody at this point.
 * @param {unknown} trouble
 */
function reason(trouble) {
  const text = trouble instanceof Error ? trouble.message : String(trouble);
  return text.trim().split("\n").at(-1) || "no reason given";
}

/** @param {boolean} warm */
async function start(warm) {
  restored = warm;
  const pyodide = await (warm ? warmStart : coldStart)(files, enter, clock);
  const answer = pyodide.pyimport("calc.browser").respond;
  clock("program loaded");
  // Pyodide only logs a standard library that it could not read. A real answer is the only proof.
  const hello = answer('{"do": "hello"}');
  const { errors } = JSON.parse(hello);
  if (errors) throw new Error("Python started but has no answer to a greeting");
  clock("first answer");
  respond = answer;
  tell({ kind: "ready", hello, times });
}

/** @param {number} id @param {string} text */
function ask(id, text) {
  if (!respond) return tell({ kind: "wrong", id, text: "Python is not ready" });
  try {
    tell({ kind: "answer", id, text: respond(text) });
  } catch (trouble) {
    // A PythonError is an exception in `calc`, and Python lives on. Anything else (the memory is
    // full, the stack has run over) leaves an interpreter that cannot be trusted again; and one from a
    // snapshot in which a module is missing would miss it again.
    const alive = trouble instanceof Error && trouble.name === "PythonError";
    const lacks = restored && alive && LACKING.has(String(/** @type {any} */ (trouble).type));
    tell(alive && !lacks ? { kind: "wrong", id, text: reason(trouble) } : { kind: "failed", text: reason(trouble), lacks });
  }
}

self.addEventListener("message", ({ data }) => {
  const message = /** @type {ToWorker} */ (data);
  if (message.kind === "ask") return ask(message.id, message.text);
  if (message.kind === "plain") return files.take(message.plain);
  files.from(message.port);
  start(message.warm).catch((trouble) => tell({ kind: "failed", text: reason(trouble) }));
});
tell({ kind: "alive" });
