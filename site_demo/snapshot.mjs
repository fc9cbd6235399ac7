// Makes a picture of Python's memory with the program loaded and warm, so that a browser need neither start Python nor import.
//
//     node site_demo/snapshot.mjs STDLIB.zip PROGRAM.zip PLAN.json OUT
//
// PROGRAM.zip holds the package `calc`. PLAN.json says what to do before the picture is taken: `modules` to import, and
// `requests` (texts) for `calc.browser.respond`. The same inputs give the same bytes.
//
// OUT holds the memory less what the wasm file itself puts there (byte by byte, exclusive or): a fifth of the packed size, which
// the browser has from the wasm anyway. How far that reaches stands in the header's fourth word, which pyodide leaves empty.

import "./steady.mjs";

import { readFileSync, writeFileSync } from "node:fs";

import { loadPyodide } from "pyodide";

const WARM_UP = `
import gc, importlib, sys, traceback

sys.path.insert(0, "/lib/calc.zip")
for name in plan["modules"]:
    importlib.import_module(name)
respond = importlib.import_module("calc.browser").respond
for request in plan["requests"]:
    respond(request)
# How a trouble is told is imported when there is one.
try:
    respond('{"do": "no such thing"}')
except Exception as trouble:
    traceback.format_exception(trouble)
del plan, name, request, respond
gc.collect()
`;

/** @type {Uint8Array | undefined} the memory as the wasm file fills it */
let untouched;
const { instantiate } = WebAssembly;
WebAssembly.instantiate = /** @type {any} */ (async (/** @type {any[]} */ ...given) => {
  const made = await Reflect.apply(instantiate, WebAssembly, given);
  const { memory } = (made.instance ?? made).exports;
  untouched ??= memory && new Uint8Array(memory.buffer.slice(0));
  return made;
});

const [library, program, plan, out] = process.argv.slice(2);
try {
  const pyodide = await loadPyodide({
    _makeSnapshot: true,
    stdLibURL: library,
    env: { PYTHONHASHSEED: "0", LANG: "C.UTF-8" },
  });
  pyodide.FS.writeFile("/lib/calc.zip", readFileSync(program));
  pyodide.globals.set("plan", pyodide.toPy(JSON.parse(readFileSync(plan, "utf-8"))));
  pyodide.runPython(WARM_UP);
  const snapshot = pyodide.makeMemorySnapshot();
  if (!untouched) throw new Error("Python's memory was not seen. Compare this script with how pyodide starts its wasm.");
  const header = new Uint32Array(snapshot.buffer, snapshot.byteOffset, 4);
  if (header[3] !== 0) throw new Error("The fourth word of the snapshot's header is in use. Find another place for the length.");
  const memory = snapshot.subarray(header[1]);
  // In whole words, as it will be put back.
  header[3] = Math.ceil((untouched.findLastIndex(Boolean) + 1) / 4) * 4;
  for (let at = 0; at < header[3]; at++) memory[at] ^= untouched[at];
  writeFileSync(out, snapshot);
} catch (trouble) {
  // Only the message: a stack trace here would print all of pyodide's one-line source.
  console.error(trouble instanceof Error ? trouble.message : trouble);
  process.exit(1);
}
