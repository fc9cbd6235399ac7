// The form's sections: fields one below the other like lines in a log, and the table of reference settings.

import { element } from "./element.js";
import { idOf } from "./entry.js";
import { UnitSettings } from "./settings.js";
import { capital, findIt } from "./words.js";

/**
 * @import { Face, Group, Section } from "./form.js"
 * @import { Entries } from "./entries.js"
 * @import { Sheet } from "./sheet.js"
 * @import { View } from "./view.js"
 */

/** Shown beside an empty field only. @param {Face} face */
function whenEmpty({ required, find, hint }) {
  return [required ? "Needed." : "", findIt(find), hint].filter(Boolean).join(" ");
}

/** @param {Entries} entries @param {Face} face */
function drawField(entries, face) {
  const help = element("p", { class: "ws-help", id: `help-${face.key}` }, face.help);
  const entry = entries.add(face, face.key, { describedBy: face.help ? help.id : undefined, empty: whenEmpty(face) });
  return element("div", { class: "ws-field", "data-kind": face.kind },
    element("div", { class: "ws-asked" },
      element("label", { for: idOf(face.key) }, capital(face.label)),
      ...(face.help ? [help] : [])),
    entry.box);
}

/** @param {Entries} entries @param {Group} group */
export function drawGroup(entries, group) {
  const fields = group.fields.map((face) => drawField(entries, face));
  if (group.optional) {
    return element("details", { class: "ws-group" }, element("summary", {}, group.title), ...fields);
  }
  if (!group.title) return element("div", { class: "ws-group" }, ...fields);
  return element("fieldset", { class: "ws-group" }, element("legend", {}, group.title), ...fields);
}

/**
 * @param {Sheet} sheet
 * @param {Entries} entries
 * @param {View} view
 * @param {Section} section
 */
export function drawSection(sheet, entries, view, { id, title, groups, table }) {
  return element("section", { class: "ws-section", id: `section-${id}`, "aria-labelledby": `title-${id}` },
    element("h2", { id: `title-${id}` }, title),
    ...groups.map((group) => drawGroup(entries, group)),
    ...(table ? [new UnitSettings(sheet, entries, view, table).box] : []));
}
