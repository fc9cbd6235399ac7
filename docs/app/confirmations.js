// What a step asks to be confirmed: each with its own signer, or with the reason why it does not apply.

import { element } from "./element.js";
import { confirmations as described } from "./form.js";
import { fits } from "./rows.js";
import { Signed } from "./signed.js";
import { capital } from "./words.js";

/**
 * @import { Named } from "./form.js"
 * @import { Entries } from "./entries.js"
 * @import { Sheet } from "./sheet.js"
 * @import { Signing } from "./signing.js"
 */

/**
 * @param {Sheet} sheet
 * @param {Entries} entries
 * @param {Signing} signing
 * @param {Named[]} items
 */
export function drawConfirmations(sheet, entries, signing, items) {
  const drawn = items.map((item) => {
    const path = `${described.key}/${item.value}`;
    const act = new Signed(sheet, entries, signing,
      { faces: described.columns, settles: described.settles, path, label: item.label, verb: "Confirm" });
    const box = element("li", { class: "ws-confirm", "data-row": path },
      element("div", { class: "ws-claim" },
        element("p", { class: "ws-said" },
          ...(item.signal ? [element("strong", { class: `ws-signal ws-${item.signal}` }, capital(item.signal)), " "] : []), item.label),
        ...act.buttons),
      act.said, act.more);
    const adapt = () => {
      box.hidden = !fits(sheet, item.needs ?? "") && !sheet.holds(path);
      box.classList.toggle("is-settled", act.isSettled);
      act.adapt();
    };
    sheet.addEventListener("typed", adapt);
    sheet.addEventListener("replaced", adapt);
    adapt();
    return box;
  });
  return element("ul", { class: "ws-confirms" }, ...drawn);
}
