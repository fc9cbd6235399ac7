// The places on pages that say how far the copy is: all of it on one page, a line on the first.

import { button, element } from "../element.js";
import { mega, newer, share, verdict } from "./words.js";

/** @import { Copy } from "./copy.js" */

/** What changes all the time is not read aloud; what it comes to is. @param {HTMLElement} place @param {Copy} copy */
function said(place, copy) {
  const line = element("p", {});
  const outcome = element("p", { role: "status" });
  place.replaceChildren(line, outcome);
  return () => {
    const { state } = copy;
    const text = state?.phase === "keeping" ? share(state) : "";
    if (line.textContent !== text) line.textContent = text;
    line.hidden = text === "";
    const words = verdict(copy);
    if (outcome.textContent !== words) outcome.textContent = words;
  };
}

/** The line on the first page: only while a copy is made, and when it has just been. @param {HTMLElement} place @param {Copy} copy */
export function line(place, copy) {
  const show = said(place, copy);
  let seen = false;
  copy.addEventListener("changed", () => {
    seen ||= copy.state?.phase === "keeping";
    if (seen) show();
  });
}

/** @param {HTMLElement} place @param {Copy} copy */
export function wholePlace(place, copy) {
  const show = said(place, copy);
  const bar = element("progress", { "aria-label": "Kept for use without a network" });
  const news = element("p", { role: "status" });
  const make = (/** @type {string} */ label, /** @type {() => void} */ act) => button(label, act, { class: "sm-button" });
  const load = make("Load the new version", () => copy.load());
  const again = make("Try again", () => copy.keep());
  const want = make("Keep a copy", () => copy.keep());
  const look = make("Look for a new version", async () => {
    news.textContent = "Looking.";
    const answered = await copy.look();
    news.textContent = answered ? "The server has answered. What it has that is new is kept now." : "The server cannot be reached.";
  });
  const hold = make("Ask the browser to hold on to it", async () => {
    const held = await navigator.storage.persist();
    hold.hidden = held;
    news.textContent = held ? "The browser holds on to the copy and to your jobs, also when the disk fills up."
      : "The browser did not agree. It asks less of an installed app, or of a site that you use often.";
  });
  const forget = make("Forget the kept copy", () => copy.forget());
  place.append(bar, news, element("div", { class: "sm-buttons" }, load, want, again, look, hold, forget));
  hold.hidden = true;
  navigator.storage?.persisted?.().then((held) => (hold.hidden = held), () => {});
  copy.addEventListener("changed", update);
  update();

  function update() {
    const { state, hindrance } = copy;
    show();
    bar.hidden = state?.phase !== "keeping";
    bar.max = mega(state?.total ?? 1);
    bar.value = mega(state?.kept ?? 0);
    load.hidden = !newer(copy);
    want.hidden = hindrance !== "off";
    again.hidden = !(hindrance === "refused" || state?.phase === "stopped");
    look.hidden = forget.hidden = !state;
    place.dataset.phase = hindrance ?? state?.phase ?? "";
  }
}
