// The service worker: a copy of the whole site in the browser, so that it works without a network, and every page from one
// build. A new worker takes over at once, since which build a page gets is written down and not tied to the worker: an open
// page goes on with its own build until it is loaded anew, and new pages get a newer one when somebody asks for it or when no
// page is open. So nothing changes under the hands, tabs need not agree, and no build is ever mixed with another.

import { answer } from "./answer.js";
import { here, tell } from "./here.js";
import { forget, keep, state, takeOver } from "./keep.js";
import { buildOf, setCurrent, wholeBuild } from "./notes.js";
import { own } from "./own.js";

/** @import { FromWorker, ToWorker } from "../messages.js" */

here.addEventListener("install", (event) => event.waitUntil(here.skipWaiting()));
here.addEventListener("activate", (event) => {
  takeOver();
  event.waitUntil(here.clients.claim());
});
here.addEventListener("fetch", answer);
here.addEventListener("message", (event) => {
  const page = /** @type {Client | null} */ (event.source);
  if (!page) return;
  event.waitUntil(act(/** @type {ToWorker} */ (event.data), page).catch(() => {}));
});

/** @param {ToWorker} message @param {Client} page */
async function act(message, page) {
  const reply = (/** @type {FromWorker} */ words) => page.postMessage(words);
  if (message.do === "keep") {
    // Asking again and again also keeps the browser from ending this worker in the middle.
    const kept = keep();
    reply({ ...(await state()), mine: await buildOf(page.id) });
    await kept;
    reply({ ...(await state()), mine: await buildOf(page.id) });
  } else if (message.do === "switch" && (await wholeBuild(own.name))) {
    await setCurrent(own.name);
    reply({ kind: "switched" });
    const kept = keep();
    await tell(await state());
    await kept;
  } else if (message.do === "forget") {
    await forget();
    await tell({ kind: "forgotten" });
  }
}
