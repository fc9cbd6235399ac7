// Fields one below the other like lines in a log.

import { element } from "./element.js";
import { idOf } from "./entry.js";
import { capital, findIt } from "./words.js";

/**
 * @import { Face, Group } from "./form.js"
 * @import { Entries } from "./entries.js"
 * @import { Signing } from "./signing.js"
 */

/** Shown beside an empty field only. @param {Face} face */
function whenEmpty({ required, find, hint }) {
  return [required ? "Needed." : "", findIt(find), hint].filter(Boolean).join(" ");
}

/** @param {Entries} entries @param {Face} face @param {Signing} [signing] */
function drawField(entries, face, signing) {
  const help = element("p", { class: "ws-help", id: `help-${face.key}` }, face.help);
  const entry = entries.add(face, face.key, { describedBy: face.help ? help.id : undefined, empty: whenEmpty(face) });
  return element("div", { class: "ws-field", "data-kind": face.kind },
    element("div", { class: "ws-asked" },
      element("label", { for: idOf(face.key) }, capital(face.label)),
      ...(face.help ? [help] : []),
      ...(signing && face.stamp ? [signing.button("Sign", capital(face.label), face.key, face.key.replace(/[^.]*$/, face.stamp))] : [])),
    entry.box);
}

/** @param {Entries} entries @param {Group} group @param {Signing} [signing] */
export function drawGroup(entries, group, signing) {
  const fields = group.fields.map((face) => drawField(entries, face, signing));
  if (group.optional) {
    return element("details", { class: "ws-group" }, element("summary", {}, group.title), ...fields);
  }
  if (!group.title) return element("div", { class: "ws-group" }, ...fields);
  return element("fieldset", { class: "ws-group" }, element("legend", {}, group.title), ...fields);
}
