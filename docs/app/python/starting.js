// Two ways to a running Python: restored from a snapshot of its memory, with the program in it, or begun from nothing.

import { loadPyodide, version } from "pyodide";

import { bytesOf, unpacked } from "./unpack.js";

/**
 * @import { Files } from "./files.js"
 * @import { WorkerPhase } from "./messages.js"
 */

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
 * @param {Files} files
 * @param {Tell} tell
 * @param {Clock} clock
 */
export async function warmStart(files, tell, clock) {
  const [wasm, createPyodideModule, snapshot] = await Promise.all([
    compiled(files, tell), imported(files), files.packed("snapshot").then(bytesOf),
  ]);
  clock("unpacked and compiled");
  tell("starting");
  const pyodide = await loaded(files, createPyodideModule, wasm, {
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
 * @param {Files} files
 * @param {Tell} tell
 * @param {Clock} clock
 */
export async function coldStart(files, tell, clock) {
  const program = files.packed("calc").then(bytesOf);
  // All at once: the wasm is compiled by other threads, and while it is still being unpacked.
  const [wasm, createPyodideModule, library] = await Promise.all([
    compiled(files, tell), imported(files), files.packed("stdlib").then(bytesOf),
  ]);
  clock("unpacked and compiled");
  tell("starting");
  const pyodide = await loaded(files, createPyodideModule, wasm, { library });
  clock("python started");
  tell("loading");
  pyodide.FS.writeFile("/lib/calc.zip", await program);
  pyodide.runPython("import sys; sys.path.insert(0, '/lib/calc.zip')");
  return pyodide;
}

/** @param {Files} files @param {Tell} tell @returns {Promise<WebAssembly.Module>} */
async function compiled(files, tell) {
  const packed = await files.packed("wasm");
  tell("unpacking");
  return WebAssembly.compileStreaming(new Response(unpacked(packed), { headers: { "Content-Type": "application/wasm" } }));
}

/** @param {Files} files @returns {Promise<any>} the maker that the JavaScript half of the wasm file exports */
async function imported(files) {
  const pyodide = await files.text("pyodide");
  if (pyodide !== version) throw new Error(`the payload holds pyodide ${pyodide}, the worksheet needs ${version}`);
  const source = await bytesOf(await files.packed("asm"));
  const address = URL.createObjectURL(new Blob([source], { type: "text/javascript" }));
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
 * @param {Files} files
 * @param {any} createPyodideModule
 * @param {WebAssembly.Module} wasm
 * @param {{library: Uint8Array<ArrayBuffer>, made?: (instance: WebAssembly.Instance) => void, options?: object}} how
 *   `made` is called with the wasm's instance before anything runs in it
 */
async function loaded(files, createPyodideModule, wasm, { library, made, options = {} }) {
  const lock = await files.text("lock");
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
