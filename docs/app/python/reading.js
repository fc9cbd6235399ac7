// Reads Python's files by their scripts: the only way that file:// allows.

import { program } from "../../generated/app/python.json";

/** @import { Name, Payload } from "./messages.js" */

/** A file of the payload that is not there, cut short, or of another version of the site; `address` is the file's. */
export class UnreadableFile extends Error {
  /** @param {string} text @param {string} address */
  constructor(text, address) {
    super(text);
    this.name = "UnreadableFile";
    this.address = address;
  }
}

/** @typedef {"payload" | "snapshot" | "library" | "program"} Part */

/**
 * What each script brings: packed files, in the order in which they are needed, and short values. `of` tells whether the file belongs to
 * this page's script.
 * @type {Record<Part, {packed: Name[], plain: (keyof Payload)[], of?: keyof Payload}>}
 */
const PARTS = {
  payload: { packed: ["asm", "wasm"], plain: ["lock", "pyodide"] },
  snapshot: { packed: ["snapshot"], plain: ["snapshotReach"], of: "snapshotOf" },
  library: { packed: ["stdlib"], plain: [] },
  program: { packed: ["calc"], plain: [], of: "calcOf" },
};

/** @type {Map<string, Promise<void>>} kept for a restart, when there may be no server any more */
const read = new Map();

/** @param {Part} part @returns {boolean} */
function isThere(part) {
  return Boolean(globalThis.spillmarkPython?.[PARTS[part].packed[0]]);
}

/**
 * A page that will certainly need a file names its script itself, so that it is on its way long before this module runs. Waits
 * until that script has run or failed; if there is none, not at all.
 * @param {URL} address
 */
async function named(address) {
  const script = [...document.scripts].find(({ src }) => src === address.href);
  if (!script || document.readyState === "complete") return;
  await Promise.race([
    new Promise((resolve) => script.addEventListener("load", resolve)),
    new Promise((resolve) => script.addEventListener("error", resolve)),
    // It may have failed before there was anybody to listen.
    new Promise((resolve) => window.addEventListener("load", resolve)),
  ]);
}

/** @param {URL} address @returns {Promise<Event>} when its script has run */
export function run(address) {
  return new Promise((resolve, reject) => {
    const script = document.createElement("script");
    script.src = address.href;
    script.onload = resolve;
    script.onerror = () =>
      reject(new UnreadableFile("The Python file is missing. Copy the whole site folder again, with all its files.", address.href));
    document.head.append(script);
  });
}

/** @param {URL} address @param {Part} part */
async function readOne(address, part) {
  if (!isThere(part)) await named(address);
  if (!isThere(part)) await run(address);
  if (!isThere(part)) throw new UnreadableFile("The Python file is damaged. Copy the whole site folder again.", address.href);
  const { of } = PARTS[part];
  if (of && globalThis.spillmarkPython?.[of] !== program) {
    throw new UnreadableFile("The Python file is of another version of this site. Copy the whole site folder again.", address.href);
  }
}

/**
 * A script of the payload, read once.
 * @param {URL} folder where it lies
 * @param {Part} part
 * @returns {Promise<{packed: [Name, string][], plain: Partial<Payload>}>} what it brings
 */
export async function readPart(folder, part) {
  const address = new URL(`python-${part}.js`, folder);
  const reading = read.get(address.href) ?? readOne(address, part);
  read.set(address.href, reading);
  // A failed reading is tried again by the next start.
  reading.catch(() => read.delete(address.href));
  await reading;
  const all = /** @type {Payload} */ (globalThis.spillmarkPython);
  const { packed, plain } = PARTS[part];
  return {
    packed: packed.map((name) => [name, all[name]]),
    plain: Object.fromEntries(plain.map((name) => [name, all[name]])),
  };
}
