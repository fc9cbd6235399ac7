// Imported before anything else, this makes two runs of the same program leave the same bytes in Python's memory: no clock
// moves, no random number is drawn from the machine, and nothing tells where in the world or on the disk the program runs.

import { createRequire } from "node:module";

const DAY = Date.UTC(2020, 0, 1);
let ticks = 0;
let state = 1;

/** Pyodide may read the clock, but must not wait for it: every reading is a little later. */
const now = () => (ticks += 1e-3);

class FixedDate extends Date {
  /** @param {[] | [any]} given */
  constructor(...given) {
    super(given.length ? given[0] : DAY);
  }

  static now() {
    return DAY;
  }
}

/** @template {ArrayBufferView} View @param {View} view @returns {View} filled by the rule of the C standard's example of `rand` */
function fill(view) {
  const bytes = new Uint8Array(view.buffer, view.byteOffset, view.byteLength);
  for (let at = 0; at < bytes.length; at++) {
    state = (Math.imul(state, 1103515245) + 12345) >>> 0;
    bytes[at] = state >>> 16;
  }
  return view;
}

globalThis.Date = /** @type {any} */ (FixedDate);
performance.now = now;
Object.defineProperty(globalThis.crypto, "getRandomValues", { value: fill });
// Pyodide takes Node's own where it runs in Node.
createRequire(import.meta.url)("node:crypto").randomFillSync = fill;
process.argv[1] = "spillmark";
process.env.TZ = "UTC";
