// The service worker without a browser: its script in a world of fakes, which can be ended and started again at any point.
// Reads {code, steps} from the standard input and answers with what each step gave. See test_worker.py.
import { createHash, webcrypto } from "node:crypto";
import { text } from "node:stream/consumers";
import vm from "node:vm";

const SCOPE = "http://ship.example/site/";
const { code, steps } = JSON.parse(await text(process.stdin));

/** What outlives a worker: the caches, and the open pages. */
const stores = new Map();
const pages = new Map();
/** The server: text by path. What is asked of it, in order. */
let server = {};
let asked = [];
let room = Infinity;
/** Milliseconds by which the clock is ahead. */
let later = 0;
const Clock = class extends Date {
  static now = () => Date.now() + later;
};

class Store {
  entries = new Map();
  async match(url) {
    const found = this.entries.get(String(url));
    return found && new Response(found.body, { headers: found.headers });
  }
  async put(url, response) {
    const body = await response.arrayBuffer();
    const used = [...stores.values()].flatMap((store) => [...store.entries.values()]).reduce((sum, each) => sum + each.body.byteLength, 0);
    if (used + body.byteLength > room) throw new DOMException("no room", "QuotaExceededError");
    this.entries.set(String(url), { body, headers: [...response.headers] });
  }
  keys = async () => [...this.entries.keys()].map((url) => ({ url }));
  delete = async (url) => this.entries.delete(String(url));
}

const caches = {
  async open(name) {
    if (!stores.has(name)) stores.set(name, new Store());
    return stores.get(name);
  },
  delete: async (name) => stores.delete(name),
  has: async (name) => stores.has(name),
  match: async (url, { cacheName }) => stores.get(cacheName)?.match(url),
};

async function fetched(request) {
  const { pathname } = new URL(request.url ?? request);
  const path = pathname.slice(new URL(SCOPE).pathname.length);
  asked.push(String(request.url ?? request));
  if (server === null) throw new TypeError("no network");
  return path in server ? new Response(server[path]) : new Response("", { status: 404 });
}

let listeners;
/** Start a worker with the list of files that `files` has now. */
function start(name, files) {
  listeners = {};
  const sizes = Object.entries(files).map(([path, body]) => [path, [createHash("sha256").update(body).digest("hex"), body.length]]);
  const world = {
    spillmarkBuild: { name, version: name, files: Object.fromEntries(sizes) },
    registration: { scope: SCOPE, unregister: async () => true },
    location: new URL("service-worker.js", SCOPE),
    addEventListener: (type, act) => (listeners[type] = act),
    skipWaiting: async () => {},
    clients: { claim: async () => {}, matchAll: async () => [...pages.values()] },
    Date: Clock,
    crypto: webcrypto,
    navigator: {},
    BroadcastChannel: class { postMessage() {} },
    caches, fetch: fetched, URL, Response, DOMException, AbortController, AbortSignal, TransformStream, setTimeout, clearTimeout,
  };
  world.self = world;
  vm.runInNewContext(code, world);
}

async function handle(type, event) {
  const waits = [];
  listeners[type]({ ...event, waitUntil: (promise) => waits.push(promise) });
  await Promise.all(waits);
}

async function asks(path, { client = "", opens = "" }) {
  let answer;
  const request = { method: "GET", url: new URL(path, SCOPE).href, mode: opens ? "navigate" : "no-cors" };
  listeners.fetch({ request, clientId: client, resultingClientId: opens, waitUntil: () => {}, respondWith: (promise) => (answer = promise) });
  if (!answer) return "not its business";
  const response = await answer;
  if (opens) pages.set(opens, { id: opens, url: SCOPE + path, said: [], postMessage(message) { this.said.push(message); } });
  return { status: response.status, text: await response.text() };
}

const acts = {
  start: ({ name, files }) => start(name, files),
  serve: ({ files }) => void (server = files),
  room: ({ bytes }) => void (room = bytes ?? Infinity),
  // A page opens, or an open one asks for a file.
  open: ({ page, path }) => asks(path, { opens: page }).catch((error) => ({ status: 0, text: String(error) })),
  get: ({ page, path }) => asks(path, { client: page }).catch((error) => ({ status: 0, text: String(error) })),
  later: ({ ms }) => void (later += ms),
  close: ({ page }) => void pages.delete(page),
  async tell({ page, message }) {
    const source = pages.get(page);
    source.said = [];
    await handle("message", { source, data: message });
    return source.said.at(-1) ?? null;
  },
  asked() {
    const found = asked;
    asked = [];
    return found;
  },
  stores: () => [...stores.keys()],
  kept: () => [...stores].filter(([name]) => name.includes("files")).flatMap(([, store]) => [...store.entries.keys()]),
};

const given = [];
for (const step of steps) given.push((await acts[step.do](step)) ?? null);
console.log(JSON.stringify(given));
