// What the worker remembers. A browser ends a worker whenever it is idle, so all of it lies in a cache: which build new pages
// get, which builds are whole, and which build each open page came from.

import { here, NOTES, scope } from "./here.js";
import { own } from "./own.js";

/** @import { Build } from "../messages.js" */

/** A page from no copy: all its files come from the server. */
export const SERVER = "server";
/** Milliseconds in which a page that is just opening is not yet among the open ones. */
const OPENING = 60_000;

/** @param {string} kind @param {string} name */
const place = (kind, name) => `${scope}${kind}/${name}`;

/** @param {string} kind @param {string} name */
async function read(kind, name) {
  // Reading makes no cache where there is none: it may have been forgotten.
  const note = await caches.match(place(kind, name), { cacheName: NOTES });
  return note?.json();
}

/** @param {string} kind @param {string} name @param {unknown} value */
async function write(kind, name, value) {
  const notes = await caches.open(NOTES);
  await notes.put(place(kind, name), new Response(JSON.stringify(value)));
}

/** @param {string} kind @param {string} name */
async function strike(kind, name) {
  if (!(await caches.has(NOTES))) return;
  const notes = await caches.open(NOTES);
  await notes.delete(place(kind, name));
}

/** Names of all notes of a kind. @param {string} kind */
async function all(kind) {
  const notes = await caches.open(NOTES);
  const begin = place(kind, "");
  return (await notes.keys()).flatMap(({ url }) => (url.startsWith(begin) ? [url.slice(begin.length)] : []));
}

/** The build that new pages get. Read anew each time: another worker may have written it. @returns {Promise<string | undefined>} */
export const currentName = () => read("current", "build");

/** @param {string} name */
export const setCurrent = (name) => write("current", "build", name);

/** @type {Map<string, Build>} a build never changes */
const builds = new Map();

/** A build whose files are all kept. @param {string} name @returns {Promise<Build | undefined>} */
export async function wholeBuild(name) {
  const known = builds.get(name) ?? (await read("build", name));
  if (known) builds.set(name, known);
  return known;
}

export async function noteWhole() {
  await write("build", own.name, own);
}

/** A kept file is gone and cannot be had again: new pages come from the server until all is kept. @param {string} name */
export async function noteBroken(name) {
  builds.delete(name);
  await strike("build", name);
  if ((await currentName()) === name) await strike("current", "build");
}

/** @type {Map<string, string>} a page keeps its build */
const clients = new Map();

/** The build that an open page, or a worker of one, came from. @param {string} id */
export async function buildOf(id) {
  const build = clients.get(id) ?? (await read("client", id))?.build ?? SERVER;
  clients.set(id, build);
  return build;
}

/** @param {string} id @param {string} build */
export async function remember(id, build) {
  clients.set(id, build);
  if (build === SERVER) await strike("client", id);
  else await write("client", id, { build, since: Date.now() });
}

/** Strike out pages that are closed, and builds that neither they nor new pages need. @returns {Promise<Build[]>} builds in use */
export async function buildsInUse() {
  const open = new Set((await here.clients.matchAll({ includeUncontrolled: true, type: "all" })).map(({ id }) => id));
  const needed = new Set([own.name, await currentName()]);
  for (const id of await all("client")) {
    const { build, since } = (await read("client", id)) ?? { build: SERVER, since: 0 };
    if (open.has(id) || Math.abs(Date.now() - since) < OPENING) needed.add(build);
    else await strike("client", id);
  }
  const inUse = [own];
  for (const name of await all("build")) {
    const build = needed.has(name) ? await wholeBuild(name) : undefined;
    if (build) inUse.push(build);
    else await strike("build", name);
  }
  return inUse;
}

/** As if nothing had been kept: the notes themselves are deleted. */
export function forgetAll() {
  builds.clear();
  clients.clear();
}
