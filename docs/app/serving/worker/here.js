// The worker itself, and where it keeps things. Two sites on one server have caches of their own.

/** @import { FromWorker } from "../messages.js" */

export const here = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));
/** Address of the site's folder on its server, ending in a slash. */
export const scope = here.registration.scope;
export const [FILES, NOTES] = [`spillmark-files ${scope}`, `spillmark-notes ${scope}`];

/** @param {string} path */
export const addressOf = (path) => scope + path.split("/").map(encodeURIComponent).join("/");

/** The open pages of this site, also those that came from no copy. */
export async function pages() {
  const open = await here.clients.matchAll({ includeUncontrolled: true, type: "window" });
  return open.filter(({ url }) => url.startsWith(scope));
}

/** @param {FromWorker} message to all open pages */
export async function tell(message) {
  for (const page of await pages()) page.postMessage(message);
}

export const deleteCopy = () => Promise.all([caches.delete(FILES), caches.delete(NOTES)]);
