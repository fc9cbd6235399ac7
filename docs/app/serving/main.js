// On every page: served over http, the site is an app that can be installed and keeps itself in the browser (app.js and
// worker/main.js). From a folder none of this is tried, nor even read: browsers forbid it there, and Chromium complains of a mere
// link to a manifest.

import { element } from "../element.js";

/** This script lies in generated/app/ of the site's folder. */
const { src } = /** @type {HTMLScriptElement} */ (document.currentScript);

if (location.protocol === "http:" || location.protocol === "https:") {
  document.head.append(
    element("link", { rel: "manifest", href: new URL("../../manifest.webmanifest", src).href }),
    element("script", { src: new URL("serving-app.js", src).href }));
}
