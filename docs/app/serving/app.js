// The app's part of a page that came from a server.

import { Copy } from "./copy.js";
import { notice } from "./notice.js";
import { line, wholePlace } from "./place.js";

/** The site's folder: this script lies in generated/app/. */
const root = new URL("../../", /** @type {HTMLScriptElement} */ (document.currentScript).src);

const copy = new Copy(root);
notice(copy);
const [whole, first] = [document.getElementById("kept-copy"), document.getElementById("kept-line")];
if (whole) wholePlace(whole, copy);
if (first) line(first, copy);
// An installed app may hold on to its jobs without a question. In a tab some browsers would ask, and nobody is to be bothered.
if (matchMedia("(display-mode: standalone)").matches) navigator.storage?.persist?.().catch(() => {});
copy.start();
