// On every page: served over http, the site is an app that can be installed and keeps itself in the browser (worker/main.js).
// From a folder none of this is tried: browsers forbid it there, and Chromium complains of a mere link to a manifest.

import { element } from "../element.js";
import { Copy } from "./copy.js";
import { notice } from "./notice.js";
import { line, wholePlace } from "./place.js";

/** The site's folder: this script lies in generated/app/. */
const root = new URL("../../", /** @type {HTMLScriptElement} */ (document.currentScript).src);

if (location.protocol === "http:" || location.protocol === "https:") {
  document.head.append(element("link", { rel: "manifest", href: new URL("manifest.webmanifest", root).href }));
  const copy = new Copy(root);
  notice(copy);
  const [whole, first] = [document.getElementById("kept-copy"), document.getElementById("kept-line")];
  if (whole) wholePlace(whole, copy);
  if (first) line(first, copy);
  // An installed app may hold on to its jobs without a question. In a tab some browsers would ask, and nobody is to be bothered.
  if (matchMedia("(display-mode: standalone)").matches) navigator.storage?.persist?.().catch(() => {});
  copy.start();
}
