// Two ways to a running Python: restored from a snapshot of its memory, with the program in it, or begun from nothing.

import { loadPyodide, version } from "pyodide";

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
 *
 * Pyodide would wait for the snapshot before it begins. Here it gets an empty one, and the true one in its place at the moment at
 * which it puts it into the memory.
 * @param {Files} files
 * @param {Tell} tell
 * @param {Clock} clock
 */
export async function warmStart(files, tell, clock) {
  const [createPyodideModule, wasm] = await Promise.all([imported(files, tell), compiled(files)]);
  clock("unpacked and compiled");
  tell("starting");
  /** @type {{memory: WebAssembly.Memory, own: Uint32Array} | undefined} */
  let untouched;
  const pyodide = await loaded(files, wasm, {
    // The snapshot has all that the program imports. Pyodide puts the library in its place all the same.
    library: new Uint8Array(),
    made: async ({ exports }) => {
      const memory = /** @type {WebAssembly.Memory} */ (exports.memory);
      untouched = { memory, own: new Uint32Array(memory.buffer.slice(0, await files.plain("snapshotReach"))) };
    },
    createPyodideModule: async (/** @type {any} */ settings) => {
      const module = await createPyodideModule(settings);
      const { restoreSnapshot } = module.API;
      const whole = await files.bytes("snapshot");
      clock("snapshot there");
      if (!untouched) throw new Error("Python's memory was not seen");
      complete(whole, untouched);
      module.API.restoreSnapshot = () => restoreSnapshot(whole);
      return module;
    },
    _loadSnapshot: new Uint8Array(),
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
  // All at once: the wasm is compiled by other threads.
  const [createPyodideModule, wasm, library] = await Promise.all([
    imported(files, tell), compiled(files), files.bytes("stdlib"),
  ]);
  clock("unpacked and compiled");
  tell("starting");
  const pyodide = await loaded(files, wasm, { library, createPyodideModule });
  clock("python started");
  tell("loading");
  pyodide.FS.writeFile("/lib/calc.zip", await files.bytes("calc"));
  pyodide.runPython("import sys; sys.path.insert(0, '/lib/calc.zip')");
  return pyodide;
}

/** @param {Files} files @param {Tell} tell @returns {Promise<any>} the maker that the JavaScript half of the wasm file exports */
async function imported(files, tell) {
  const pyodide = await files.plain("pyodide");
  if (pyodide !== version) throw new Error(`the payload holds pyodide ${pyodide}, the worksheet needs ${version}`);
  tell("unpacking");
  const source = await files.bytes("asm");
  const address = URL.createObjectURL(new Blob([source], { type: "text/javascript" }));
  try {
    return (await import(address)).default;
  } finally {
    URL.revokeObjectURL(address);
  }
}

/** @param {Files} files @returns {Promise<WebAssembly.Module>} */
async function compiled(files) {
  return WebAssembly.compile(await files.bytes("wasm"));
}

/**
 * A snapshot is kept less what the wasm file puts into the memory itself; put that back (exclusive or undoes itself), and make
 * the memory as large as it was then: pyodide would not.
 * @param {Uint8Array<ArrayBuffer>} snapshot
 * @param {{memory: WebAssembly.Memory, own: Uint32Array}} untouched the memory, and its beginning as the wasm file had filled it
 */
function complete(snapshot, { memory, own }) {
  const [, begins] = new Uint32Array(snapshot.buffer, 0, 2);
  const kept = new Uint32Array(snapshot.buffer, begins);
  for (let at = 0; at < own.length; at++) kept[at] ^= own[at];
  const more = Math.ceil((kept.byteLength - memory.buffer.byteLength) / PAGE);
  if (more > 0) memory.grow(more);
}

/**
 * @param {Files} files
 * @param {WebAssembly.Module} wasm
 * @param {{library: Uint8Array<ArrayBuffer>, made?: (instance: WebAssembly.Instance) => Promise<void>, [option: string]: unknown}} how
 *   `made` is called with the wasm's instance before anything runs in it; the rest are pyodide's options
 */
async function loaded(files, wasm, { library, made, ...options }) {
  const lock = await files.plain("lock");
  // Pyodide fetches its two files by name, and would only log a wasm that does not start, then wait
  // for ever. Until it stands, it gets both from here, and its failure is heard.
  const { fetch, WebAssembly: { instantiateStreaming } } = self;
  try {
    return await new Promise((resolve, reject) => {
      self.fetch = async () => new Response(library);
      const instantiated = async (/** @type {WebAssembly.Imports} */ imports) => {
        const instance = await WebAssembly.instantiate(wasm, imports);
        await made?.(instance);
        return { module: wasm, instance };
      };
      WebAssembly.instantiateStreaming = (_, imports = {}) => {
        const starting = instantiated(imports);
        starting.catch(reject);
        return starting;
      };
      loadPyodide({ indexURL: NOWHERE, packageBaseUrl: NOWHERE, lockFileContents: lock, ...options })
        .then(resolve, reject);
    });
  } finally {
    self.fetch = fetch;
    WebAssembly.instantiateStreaming = instantiateStreaming;
  }
}
