// What a page gets. A page and all that it asks for come from one build, whatever happens meanwhile: each page is remembered
// with the build it came from. The worker asks the server for nothing but the files of a build, and for what a page wants that
// came from the server itself.

import { Failure, kept, obtain } from "./files.js";
import { here, pages, scope } from "./here.js";
import { buildOf, currentName, noteBroken, remember, SERVER, setCurrent, wholeBuild } from "./notes.js";
import { own } from "./own.js";

/** @import { Build } from "../messages.js" */

const LOST = /** @type {const} */ (["A kept file is missing, and the server has another version. Load the page again."]);

/** @param {FetchEvent} event */
export function answer(event) {
  const { method, url } = event.request;
  if (method !== "GET" || !url.startsWith(scope) || url === here.location.href) return;
  event.respondWith(respond(event));
}

/** @param {FetchEvent} event @returns {Promise<Response>} */
async function respond({ request, clientId, resultingClientId }) {
  const opens = request.mode === "navigate";
  const name = opens ? await forNewPage() : await buildOf(clientId);
  // A page that opens, or a worker that a page starts: from then on it asks for itself. Written before it has its answer, so
  // that no other worker can miss it.
  const belongs = async (/** @type {string} */ to) => {
    if (resultingClientId) await remember(resultingClientId, to).catch(() => {});
  };
  if (name === SERVER) {
    await belongs(SERVER);
    return fromServer(request);
  }
  const build = await wholeBuild(name);
  if (!build) return said(503, ...LOST);
  const path = pathIn(build, request.url);
  if (opens && `${path}/index.html` in build.files) return Response.redirect(`${new URL(request.url).pathname}/`);
  await belongs(name);
  if (!(path in build.files)) return opens ? pageMissing(build) : new Response("", { status: 404 });
  try {
    return await fromCopy(build, path);
  } catch (trouble) {
    if (!(trouble instanceof Failure) || trouble.trouble === "unreachable") {
      return said(503, "A kept file is missing, and the server cannot be reached.");
    }
    // The copy is damaged and the server has gone on: this page is the server's, or comes from there when it is loaded again.
    await noteBroken(name);
    if (!opens) return said(503, ...LOST);
    await belongs(SERVER);
    return fetch(request);
  }
}

/** A newer build is given when it is asked for, or when no page of the site is open. */
async function forNewPage() {
  const current = await currentName();
  if (current === undefined || !(await wholeBuild(current))) return SERVER;
  if (current === own.name || !(await wholeBuild(own.name))) return current;
  if ((await pages()).length > 0) return current;
  await setCurrent(own.name);
  return own.name;
}

/** Query and fragment belong to the page, not to the file. @param {Build} build @param {string} url */
function pathIn({ files }, url) {
  const { pathname } = new URL(url);
  let path = pathname.slice(new URL(scope).pathname.length);
  try {
    path = decodeURIComponent(path);
  } catch {
    // No file is called so.
  }
  if (path === "" || path.endsWith("/")) return `${path}index.html`;
  // Some servers name pages without their ending.
  return !(path in files) && `${path}.html` in files ? `${path}.html` : path;
}

/** @param {Build} build @param {string} path */
async function fromCopy(build, path) {
  const [hash] = build.files[path];
  const found = await kept(path, hash);
  if (found) return found;
  await obtain(path, hash);
  return /** @type {Response} */ (await kept(path, hash));
}

/**
 * For a page that came from the server. Where that cannot be reached any more, the copy serves: it was taken from the same
 * server after the page, so the page would have got the same from there.
 * @param {Request} request
 */
async function fromServer(request) {
  try {
    // What lies in the browser's own cache may be older than the page. A page that opens is asked for as it is: nothing else is allowed.
    return await (request.mode === "navigate" ? fetch(request) : fetch(request, { cache: "no-cache" }));
  } catch (trouble) {
    const build = await wholeBuild((await currentName()) ?? SERVER);
    const path = build && pathIn(build, request.url);
    const found = build && path && path in build.files ? await kept(path, build.files[path][0]) : undefined;
    if (found) return found;
    throw trouble;
  }
}

/** @param {Build} build */
async function pageMissing(build) {
  // That page addresses everything from the server's root.
  const serves = new URL(scope).pathname === "/" && "404.html" in build.files;
  const page = serves ? await fromCopy(build, "404.html").catch(() => undefined) : undefined;
  if (page) return new Response(page.body, { status: 404, headers: page.headers });
  return said(404, "This site has no page at this address.", `<p><a href="${new URL(scope).pathname}">Its first page</a></p>`);
}

/** @param {number} status @param {string} words @param {string} [more] markup */
function said(status, words, more = "") {
  const head = `<meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>${words}</title>`;
  return new Response(`<!doctype html><html lang="en">${head}<h1>${words}</h1>${more}</html>`, { status, headers: { "Content-Type": "text/html", "Content-Security-Policy": "default-src 'none'" } });
}
