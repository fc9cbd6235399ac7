// Keeping the whole build: what is missing is fetched, proved by its SHA-256 and kept. Only when all of it is there does the
// build count as whole. The work belongs to no "install" of the browser's: browsers end that after five minutes, which is too
// short for a ship's link, and begin it from nothing. Here each page that is open asks again, and what is kept stays kept.

import { drop, Failure, missing, obtain } from "./files.js";
import { deleteCopy, here, scope, tell } from "./here.js";
import { buildsInUse, currentName, forgetAll, noteWhole, setCurrent, wholeBuild } from "./notes.js";
import { own } from "./own.js";

/** @import { Named, State } from "../messages.js" */

/** Small files come side by side; of large ones an interruption shall cost no more than one. */
const SIDE_BY_SIDE = 4;
const LARGE = 1_000_000;
/** Bytes to be left for what people type. */
const RESERVE = 20_000_000;
/** Milliseconds between two words on progress. */
const PAUSE = 250;

const total = Object.values(own.files).reduce((sum, [, size]) => sum + size, 0);

/** @type {Pick<State, "phase" | "kept" | "trouble" | "detail">} */
let progress = { phase: "keeping", kept: 0 };
/** Settled when the worker has looked for the first time what is there: before, there is nothing to tell. */
let hasLooked = () => {};
const looked = /** @type {Promise<void>} */ (new Promise((resolve) => (hasLooked = resolve)));
/** @type {Promise<void> | undefined} */
let working;
let stop = new AbortController();
let told = 0;

/** What an older worker was still fetching is no longer wanted, and would only take the line. */
const takeover = new BroadcastChannel(`spillmark-takeover ${scope}`);
takeover.onmessage = () => stop.abort();
export const takeOver = () => takeover.postMessage(own.name);

/** @returns {Promise<State>} */
export async function state() {
  await looked;
  const name = await currentName();
  const current = name === undefined ? undefined : await wholeBuild(name);
  return { kind: "state", ...progress, total, current: current ? named(current) : null, next: named(own) };
}

/** @param {Named} build @returns {Named} */
const named = ({ name, version }) => ({ name, version });

async function tellState() {
  told = Date.now();
  await tell(await state());
}

/** Keep what is missing. Asked twice, it works once. @returns {Promise<void>} */
export function keep() {
  working ??= work().finally(() => (working = undefined));
  return working;
}

async function work() {
  stop = new AbortController();
  try {
    const paths = await missing(own);
    const wanting = paths.reduce((sum, path) => sum + own.files[path][1], 0);
    progress = { phase: paths.length ? "keeping" : "whole", kept: total - wanting };
    hasLooked();
    if (paths.length) {
      await tellState();
      await makeSure(wanting);
      const large = paths.findIndex((path) => own.files[path][1] >= LARGE);
      const small = paths.splice(0, large < 0 ? paths.length : large);
      await Promise.all(Array.from({ length: SIDE_BY_SIDE }, () => fetchAll(small)));
      await fetchAll(paths);
    }
    // Someone may have had it forgotten meanwhile.
    stop.signal.throwIfAborted();
    const isNew = !(await wholeBuild(own.name));
    if (isNew) await noteWhole();
    // The first copy serves at once. Any other waits until it is wanted.
    if (!(await currentName())) await setCurrent(own.name);
    progress = { phase: "whole", kept: total };
    if (isNew || paths.length) await tellState();
    await drop(await buildsInUse());
  } catch (trouble) {
    if (stop.signal.aborted) return;
    stop.abort();
    progress = { ...progress, phase: "stopped", ...reason(trouble) };
    hasLooked();
    // What people type needs the room more than half a copy.
    if (progress.trouble === "full") await drop((await buildsInUse()).filter((build) => build !== own)).catch(() => {});
    await tellState().catch(() => {});
  }
}

/** @param {number} bytes that shall be kept */
async function makeSure(bytes) {
  const { quota, usage } = (await navigator.storage?.estimate?.().catch(() => undefined)) ?? {};
  if (quota !== undefined && usage !== undefined && quota - usage < bytes + RESERVE) {
    throw new Failure("full", `${Math.max(0, Math.floor((quota - usage) / 1e6))} MB are free for this site`);
  }
}

/** @param {string[]} paths each is taken by one of those who fetch side by side */
async function fetchAll(paths) {
  for (let path = paths.shift(); path !== undefined; path = paths.shift()) {
    await obtain(path, own.files[path][0], count, stop.signal);
  }
}

/** @param {number} bytes */
function count(bytes) {
  progress.kept += bytes;
  if (Date.now() - told > PAUSE) tellState().catch(() => {});
}

/** @param {unknown} trouble @returns {Pick<State, "trouble" | "detail">} */
function reason(trouble) {
  if (trouble instanceof Failure) return { trouble: trouble.trouble, detail: trouble.message };
  const { name, message } = trouble instanceof Error || trouble instanceof DOMException ? trouble : { name: "", message: String(trouble) };
  return { trouble: name === "QuotaExceededError" ? "full" : "refused", detail: `${name}: ${message}` };
}

/** Delete the copy, and with it this worker. Open pages then get their files from the server. */
export async function forget() {
  stop.abort();
  await working;
  await deleteCopy();
  forgetAll();
  await here.registration.unregister();
}
