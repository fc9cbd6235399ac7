// Things to do that lead to their fields: what is to mend, what is missing, what is to close.

import { element } from "./element.js";
import { idOf } from "./entry.js";

/**
 * @import { Entries } from "./entries.js"
 * @typedef {{key: string | null, text: string}} Item
 */

/** The lines of a list; a thing without a field is only said. @param {Entries} entries @param {Item[]} items */
export function lines(entries, items) {
  return items.map(({ key, text }) => element("li", {}, key !== null && entries.leadsTo(key)
    ? element("a", { href: `#${idOf(key)}`, "data-key": key }, text)
    : text));
}

/** Have the lines in a box lead to their fields, in whatever step they are. @param {Entries} entries @param {HTMLElement} box */
export function lead(entries, box) {
  box.addEventListener("click", (event) => {
    const link = event.target instanceof Element ? event.target.closest("a") : null;
    if (!link?.dataset.key) return;
    event.preventDefault();
    entries.goTo(link.dataset.key);
  });
}

/** A whole list. @param {Entries} entries @param {Item[]} items @param {"ul" | "ol"} [tag] */
export function todo(entries, items, tag = "ul") {
  const list = element(tag, {}, ...lines(entries, items));
  lead(entries, list);
  return list;
}
