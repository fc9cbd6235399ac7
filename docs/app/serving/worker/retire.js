// In the place of the service worker, where a server wants no copy of its site in browsers: what is kept is deleted.

import { deleteCopy, here, tell } from "./here.js";

here.addEventListener("install", (event) => event.waitUntil(here.skipWaiting()));
here.addEventListener("activate", (event) => event.waitUntil(retire()));

async function retire() {
  await deleteCopy();
  await here.registration.unregister();
  await tell({ kind: "retired" });
}
