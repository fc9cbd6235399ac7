// What this engine has, as it was answered: it decides what the job asks for.

/** @import { Sheet } from "./sheet.js" */

/** @param {Sheet} sheet @param {string} needs */
function answer(sheet, needs) {
  return sheet.text(`arrangement.${needs}`).trim().toLowerCase();
}

/** Whether it is said that this engine has it. @param {Sheet} sheet @param {string} needs empty where every engine has it */
export function fits(sheet, needs) {
  return needs === "" || ["true", "yes"].includes(answer(sheet, needs));
}

/** Whether it is said that it does not. @param {Sheet} sheet @param {string} needs */
export function lacks(sheet, needs) {
  return needs !== "" && ["false", "no"].includes(answer(sheet, needs));
}
