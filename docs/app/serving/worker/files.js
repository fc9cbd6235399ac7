// The kept files. A file lies under its path and its SHA-256, so that builds share what is the same in both, and what was
// kept before an interruption is never asked for again.

import { addressOf, FILES } from "./here.js";

/** @import { Build, Trouble } from "../messages.js" */

/** Milliseconds without a byte after which a server counts as out of reach. */
const PATIENCE = 60_000;

/** Why a file could not be kept. */
export class Failure extends Error {
  /** @param {Trouble} trouble @param {string} detail */
  constructor(trouble, detail) {
    super(detail);
    this.trouble = trouble;
  }
}

/** @param {string} path @param {string} hash */
const key = (path, hash) => `${addressOf(path)}?${hash}`;

/** @param {string} path @param {string} hash */
export function kept(path, hash) {
  return caches.match(key(path, hash), { cacheName: FILES });
}

/** The files of a build that are not kept yet, small ones first. @param {Build} build @returns {Promise<string[]>} */
export async function missing({ files: wanted }) {
  const files = await caches.open(FILES);
  const there = new Set((await files.keys()).map(({ url }) => url));
  const paths = Object.keys(wanted).filter((path) => !there.has(key(path, wanted[path][0])));
  return paths.sort((a, b) => wanted[a][1] - wanted[b][1]);
}

/** Delete what none of these builds has. @param {Build[]} builds */
export async function drop(builds) {
  const files = await caches.open(FILES);
  const wanted = new Set(builds.flatMap((build) => Object.entries(build.files).map(([path, [hash]]) => key(path, hash))));
  for (const { url } of await files.keys()) {
    if (!wanted.has(url)) await files.delete(url);
  }
}

/** @param {ArrayBuffer} bytes */
async function sha256(bytes) {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * All bytes of a file as the server has it now.
 * @param {string} path
 * @param {RequestCache} cache
 * @param {(bytes: number) => void} onBytes
 * @param {AbortSignal} stop
 */
async function fetched(path, cache, onBytes, stop) {
  const silent = new AbortController();
  let overdue = setTimeout(() => silent.abort(), PATIENCE);
  try {
    const response = await fetch(addressOf(path), { cache, signal: AbortSignal.any([silent.signal, stop]) });
    // In the middle of an upload a file may be missing.
    if (!response.ok) throw new Failure(response.status < 500 ? "unlike" : "unreachable", path);
    const counted = new TransformStream({
      transform(chunk, out) {
        clearTimeout(overdue);
        overdue = setTimeout(() => silent.abort(), PATIENCE);
        onBytes(chunk.byteLength);
        out.enqueue(chunk);
      },
    });
    const bytes = await new Response(response.body?.pipeThrough(counted)).arrayBuffer();
    return { bytes, type: response.headers.get("Content-Type") ?? "" };
  } catch (trouble) {
    throw trouble instanceof Failure ? trouble : new Failure("unreachable", path);
  } finally {
    clearTimeout(overdue);
  }
}

/**
 * Get a file from the server and keep it, if it is the one that is wanted.
 * @param {string} path
 * @param {string} hash
 * @param {(bytes: number) => void} [onBytes] told of each piece, and with a negative number of what came in vain
 * @param {AbortSignal} [stop]
 */
export async function obtain(path, hash, onBytes = () => {}, stop = new AbortController().signal) {
  // Something on the way may hold an old file back, so a second look goes past everything.
  for (const cache of /** @type {const} */ (["no-cache", "reload"])) {
    let came = 0;
    const count = (/** @type {number} */ bytes) => {
      came += bytes;
      onBytes(bytes);
    };
    try {
      const { bytes, type } = await fetched(path, cache, count, stop);
      if ((await sha256(bytes)) === hash) {
        const files = await caches.open(FILES);
        await files.put(key(path, hash), new Response(bytes, { headers: { "Content-Type": type } }));
        return;
      }
    } catch (trouble) {
      onBytes(-came);
      throw trouble;
    }
    onBytes(-came);
  }
  throw new Failure("unlike", path);
}
