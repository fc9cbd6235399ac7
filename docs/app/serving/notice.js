// A quiet line at the foot of the window when there is a new version. It covers nothing for long and takes no focus.

import { button, element } from "../element.js";
import { newer } from "./words.js";

/** @import { Copy } from "./copy.js" */

const LATER = "spillmark-later";

/** @param {Copy} copy */
export function notice(copy) {
  const box = element("div", { class: "sm-version", role: "status" });
  let shown = "";
  document.body.append(box);
  // The page keeps so much room free at its foot.
  new ResizeObserver(() => document.documentElement.style.setProperty("--sm-version-height", `${box.offsetHeight}px`)).observe(box);
  copy.addEventListener("changed", () => {
    const found = newer(copy);
    const text = found && found.build.name !== postponed() ? found.text : "";
    if (text === shown) return;
    shown = text;
    if (!found || !text) return box.replaceChildren();
    box.replaceChildren(
      element("p", {}, text, " To load it, this page opens anew. What you typed stays. Other tabs stay as they are."),
      button("Load the new version", () => copy.load(), { class: "sm-button" }),
      button("Later", () => {
        postpone(found.build.name);
        box.replaceChildren();
      }, { class: "sm-button" }));
  });
}

/** The build that this tab has been told to wait with. */
function postponed() {
  try {
    return sessionStorage.getItem(LATER);
  } catch {
    return null;
  }
}

/** @param {string} name */
function postpone(name) {
  try {
    sessionStorage.setItem(LATER, name);
  } catch {
    // Then it holds for this page only.
  }
}
