// Two ways to a running Python: restored from a snapshot of its memory, with the program in it, or begun from nothing.

import { loadPyodide } from "pyodide";

import { bytesOf, unpacked } from "./unpack.js";

/** @import { Payload, WorkerPhase } from "./messages.js" */

/**
 * @typedef {(phase: WorkerPhase) => void} Tell
 * @typedef {(part: string) => void} Clock notes that a part of starting has ended
 */

/** Bytes of a page of WebAssembly's memory. */
const PAGE = 65536;

/** Where a file from the payload would come from, if it were fetched. */
const NOWHERE = "https://payload.invalid/";

/**
 * Restore Python as it was when the site was built. Pyodide's own options for it are hidden ones: whatever is wrong with them,
 * with the snapshot or with this browser, is an exception, and the page then starts from nothing.
 * @param {Payload} payload
 * @param {Tell} tell
 * @param {Clock} clock
 */
export async function warmStart(payload, tell, clock) {
  tell("unpacking");
  const [wasm, snapshot, createPyodideModule] = await Promise.all([
    compiled(payload.wasm), bytesOf(payload.snapshot), imported(payload.asm),
  ]);
  clock("unpacked and compiled");
  tell("starting");
  const pyodide = await loaded(payload, createPyodideModule, wasm, {
    // The snapshot has all that the program imports. Pyodide puts the library in its place all the same.
    library: new Uint8Array(),
    made: ({ exports }) => complete(snapshot, /** @type {WebAssembly.Memory} */ (exports.memory)),
    options: { _loadSnapshot: snapshot },
  });
  // A machine that was copied draws the same numbers as its twin until it is told otherwise.
  pyodide.runPython("import sys; 'random' in sys.modules and sys.modules['random'].seed()");
  clock("python started");
  return pyodide;
}

/**
 * Start Python from nothing.
 * @param {Payload} payload
 * @param {Tell} tell
 * @param {Clock} clock
 */
export async function coldStart(payload, tell, clock) {
  tell("unpacking");
  // All at once: the wasm is compiled by other threads, and while it is still being unpacked.
  const [wasm, library, createPyodideModule] = await Promise.all([
    compiled(payload.wasm), bytesOf(payload.stdlib), imported(payload.asm),
  ]);
  clock("unpacked and compiled");
  tell("starting");
  const program = bytesOf(payload.calc);
  const pyodide = await loaded(payload, createPyodideModule, wasm, { library });
  clock("python started");
  tell("loading");
  pyodide.FS.writeFile("/lib/calc.zip", await program);
  pyodide.runPython("import sys; sys.path.insert(0, '/lib/calc.zip')");
  return pyodide;
}

/** @param {string} packed */
function compiled(packed) {
  return WebAssembly.compileStreaming(new Response(unpacked(packed), { headers: { "Content-Type": "application/wasm" } }));
}

/**
 * @param {string} packed
 * @returns {Promise<any>} what the module whose source this is has made for others
 */
async function imported(packed) {
  const address = URL.createObjectURL(new Blob([await bytesOf(packed)], { type: "text/javascript" }));
  try {
    return (await import(address)).default;
  } finally {
    URL.revokeObjectURL(address);
  }
}

/**
 * A snapshot is kept less what the wasm file puts into the memory itself; put that back (exclusive or undoes itself), and make
 * the memory as large as it was then: pyodide would not.
 * @param {Uint8Array<ArrayBuffer>} snapshot
 * @param {WebAssembly.Memory} memory as the wasm file has just filled it
 */
function complete(snapshot, memory) {
  const [, begins, , reach] = new Uint32Array(snapshot.buffer, 0, 4);
  const kept = new Uint32Array(snapshot.buffer, begins);
  const own = new Uint32Array(memory.buffer, 0, reach / 4);
  for (let at = 0; at < own.length; at++) kept[at] ^= own[at];
  const more = Math.ceil((kept.byteLength - memory.buffer.byteLength) / PAGE);
  if (more > 0) memory.grow(more);
}

/**
 * @param {Payload} payload
 * @param {any} createPyodideModule
 * @param {WebAssembly.Module} wasm
 * @param {{library: Uint8Array<ArrayBuffer>, made?: (instance: WebAssembly.Instance) => void, options?: object}} how
 *   `made` is called with the wasm's instance before anything runs in it
 */
async function loaded({ lock }, createPyodideModule, wasm, { library, made, options = {} }) {
  // Pyodide fetches its two files by name, and would only log a wasm that does not start, then wait
  // for ever. Until it stands, it gets both from here, and its failure is heard.
  const { fetch, WebAssembly: { instantiateStreaming } } = self;
  try {
    return await new Promise((resolve, reject) => {
      self.fetch = async () => new Response(library);
      const instantiated = async (/** @type {WebAssembly.Imports} */ imports) => {
        const instance = await WebAssembly.instantiate(wasm, imports);
        made?.(instance);
        return { module: wasm, instance };
      };
      WebAssembly.instantiateStreaming = (_, imports = {}) => {
        const starting = instantiated(imports);
        starting.catch(reject);
        return starting;
      };
      loadPyodide({ indexURL: NOWHERE, packageBaseUrl: NOWHERE, lockFileContents: lock, createPyodideModule, ...options })
        .then(resolve, reject);
    });
  } finally {
    self.fetch = fetch;
    WebAssembly.instantiateStreaming = instantiateStreaming;
  }
}
