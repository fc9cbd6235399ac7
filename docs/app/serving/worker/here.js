// The worker itself, and where it keeps things. Two sites on one server have caches of their own.

export const here = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));
/** Address of the site's folder on its server, ending in a slash. */
export const scope = here.registration.scope;
export const [FILES, NOTES] = [`spillmark-files ${scope}`, `spillmark-notes ${scope}`];

/** @param {string} path */
export const addressOf = (path) => scope + path.split("/").map(encodeURIComponent).join("/");

export const deleteCopy = () => Promise.all([caches.delete(FILES), caches.delete(NOTES)]);
