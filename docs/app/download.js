// Giving a file to the person.

import { element } from "./element.js";

/** Save a text as a download. @param {string} text @param {string} name @param {string} type */
export function give(text, name, type) {
  const address = URL.createObjectURL(new Blob([text], { type }));
  element("a", { href: address, download: name }).click();
  // The browser has to have begun to read it.
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}
