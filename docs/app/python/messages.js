// What the page and the Python worker say to each other. Types only.

/**
 * The Python payload as its scripts leave it: base64 of gzip for the files, JSON text for the lock. A start needs either the
 * snapshot, or library and program.
 * @typedef {object} Payload
 * @property {string} pyodide version of pyodide that all the files belong to
 * @property {string} lock pyodide's lock file, without packages
 * @property {string} wasm
 * @property {string} asm the JavaScript half of the wasm file
 * @property {string} snapshot Python's memory with `calc` loaded, less what the wasm file puts there
 * @property {string} snapshotOf the name of that `calc`
 * @property {number} snapshotReach how many bytes at the memory's beginning are kept less what the wasm file puts there
 * @property {string} stdlib zip of the standard library
 * @property {string} calc zip of this project's `calc`
 * @property {string} calcOf its name
 */

/**
 * The names of the packed files, and one of them on its way: still a text, or the bytes of its base64.
 * @typedef {"wasm" | "asm" | "snapshot" | "stdlib" | "calc"} Name
 * @typedef {string | Uint8Array<ArrayBuffer>} Packed
 */

/**
 * A phase that the worker has begun.
 * @typedef {"unpacking" | "starting" | "loading"} WorkerPhase
 */

/**
 * From the worker. `failed` ends the worker's usefulness (`lacks`: the snapshot it came from has not all that is needed); `wrong` is the
 * failure of one call. `unreadable` is said in its place: a file that it waits for will not come.
 * @typedef {{kind: "alive"}
 *   | {kind: "phase", phase: WorkerPhase}
 *   | {kind: "ready", hello: string, times: Record<string, number>}
 *   | {kind: "failed", text: string, lacks?: boolean}
 *   | {kind: "unreadable", text: string, address: string}
 *   | {kind: "answer", id: number, text: string}
 *   | {kind: "wrong", id: number, text: string}} FromWorker
 */

/**
 * To the worker: once how to start, and where the unpacked files will come from; what needs no unpacking, in any order; then
 * requests as JSON text.
 * @typedef {{kind: "start", warm: boolean, port: MessagePort} | {kind: "plain", plain: Partial<Payload>} |
 *   {kind: "ask", id: number, text: string}} ToWorker
 */

/**
 * To the unpacker, and from it through its port.
 * @typedef {{kind: "port", port: MessagePort} | {kind: "unpack", name: Name, packed: Packed} | {kind: "end"}} ToUnpacker
 * @typedef {{name: Name, bytes: Uint8Array<ArrayBuffer>} | {name: Name, bytes?: undefined, trouble: string}} FromUnpacker
 */

/**
 * What python-start.js leaves for the page's own script: the program that all belongs to, how to begin, and what has begun already.
 * @typedef {{program: string, begin: (warm: boolean) => import("./attempt.js").Attempt,
 *   begun: import("./attempt.js").Attempt | undefined}} Starter
 */

export {};
