// The Python worker. It is bundled into a text, and the page starts it from a `data:` address: the
// only way to get a module worker on file:// in every browser. It can therefore reach no file; all
// that it needs comes in one message from the page.

import { loadPyodide, version } from "pyodide";

import { bytesOf, unpacked } from "./unpack.js";

/** @import { FromWorker, Payload, ToWorker } from "./messages.js" */

/** Milliseconds since the worker began, at the end of each part of starting. */
const times = /** @type {Record<string, number>} */ ({});

/** @type {((text: string) => string) | undefined} */
let respond;

/** @param {FromWorker} message */
function tell(message) {
  self.postMessage(message);
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

/**
 * @param {string} packed
 * @returns {Promise<any>} the module whose source this is
 */
async function importPacked(packed) {
  const address = URL.createObjectURL(new Blob([await bytesOf(packed)], { type: "text/javascript" }));
  try {
    return await import(address);
  } finally {
    URL.revokeObjectURL(address);
  }
}

/**
 * Start Python from nothing. (A start from a memory snapshot would stand beside this function, and
 * this one stay as its fallback.)
 * @param {Payload} payload
 */
async function coldStart(payload) {
  tell({ kind: "phase", phase: "unpacking" });
  // All at once: the wasm is compiled by other threads, and while it is still being unpacked.
  const [wasm, stdlib, { default: createPyodideModule }] = await Promise.all([
    WebAssembly.compileStreaming(
      new Response(unpacked(payload.wasm), { headers: { "Content-Type": "application/wasm" } }),
    ),
    bytesOf(payload.stdlib),
    importPacked(payload.asm),
  ]);
  clock("unpacked and compiled");

  tell({ kind: "phase", phase: "starting" });
  // Pyodide fetches its two files by name, and would only log a wasm that does not start, then wait
  // for ever. Until it stands, it gets both from here, and its failure is heard.
  const { fetch, WebAssembly: { instantiateStreaming } } = self;
  try {
    return await new Promise((resolve, reject) => {
      self.fetch = async () => new Response(stdlib);
      WebAssembly.instantiateStreaming = async (_, imports) => {
        const starting = WebAssembly.instantiate(wasm, imports);
        starting.catch(reject);
        return { module: wasm, instance: await starting };
      };
      loadPyodide({
        indexURL: "https://payload.invalid/",
        packageBaseUrl: "https://payload.invalid/",
        lockFileContents: payload.lock,
        createPyodideModule,
      }).then(resolve, reject);
    });
  } finally {
    self.fetch = fetch;
    WebAssembly.instantiateStreaming = instantiateStreaming;
  }
}

/** @param {Payload} payload */
async function start(payload) {
  clock("payload received");
  if (payload.pyodide !== version) {
    throw new Error(`the payload holds pyodide ${payload.pyodide}, the worksheet needs ${version}`);
  }
  const program = bytesOf(payload.calc);
  const pyodide = await coldStart(payload);
  clock("python started");
  tell({ kind: "phase", phase: "loading" });
  pyodide.FS.writeFile("/lib/calc.zip", await program);
  pyodide.runPython("import sys; sys.path.insert(0, '/lib/calc.zip')");
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
    // full, the stack has run over) leaves an interpreter that cannot be trusted again.
    const alive = trouble instanceof Error && trouble.name === "PythonError";
    tell(alive ? { kind: "wrong", id, text: reason(trouble) } : { kind: "failed", text: reason(trouble) });
  }
}

self.addEventListener("message", ({ data }) => {
  const message = /** @type {ToWorker} */ (data);
  if (message.kind === "ask") ask(message.id, message.text);
  else start(message.payload).catch((trouble) => tell({ kind: "failed", text: reason(trouble) }));
});
tell({ kind: "alive" });
