// What the pages and the service worker say to each other. Types only. Pages of an older build talk to a newer worker, so
// words may be added here, and none changed or taken away.

/**
 * One build of the site: every file with its SHA-256 (hexadecimal) and its size in bytes. Written by site_demo/app.py.
 * @typedef {{name: string, version: string, files: Record<string, [string, number]>}} Build
 * @typedef {{name: string, version: string}} Named
 */

/**
 * Why nothing more is kept at the moment: the server cannot be reached; it gives other files than this build has; there is no
 * room; the browser refuses to keep anything.
 * @typedef {"unreachable" | "unlike" | "full" | "refused"} Trouble
 */

/**
 * How far the copy is. `current` is the build that pages get, `next` the one that the server had last.
 * @typedef {object} State
 * @property {"state"} kind
 * @property {"keeping" | "whole" | "stopped"} phase of `next`
 * @property {Named | null} current
 * @property {Named} next
 * @property {number} kept bytes of `next`
 * @property {number} total bytes of `next`
 * @property {Trouble} [trouble]
 * @property {string} [detail] the file that it stopped at, or what the browser said
 * @property {string} [mine] in an answer: the build that the asking page came from; "server" where it came from no copy
 */

/**
 * From the worker. `switched`: pages get `next` from now on; `forgotten`: the copy is deleted; `retired`: the server wants none.
 * @typedef {State | {kind: "switched"} | {kind: "forgotten"} | {kind: "retired"}} FromWorker
 */

/**
 * To the worker: keep what is missing, and answer with the state; give pages the newest build; delete the copy.
 * @typedef {{do: "keep"} | {do: "switch"} | {do: "forget"}} ToWorker
 */

export {};
