// The form's description as Python wrote it. The page draws what stands here and knows no field by name.

import description from "../generated/form.json";

/**
 * @typedef {object} Face what the page needs to draw one field
 * @property {string} key
 * @property {"text" | "number" | "whole" | "numbers" | "wholes" | "choice" | "flag" | "table"} kind
 * @property {string} label
 * @property {string} unit
 * @property {string} help
 * @property {string} find where to find the value
 * @property {string} hint common practice: shown beside an empty field, never filled in
 * @property {boolean} required
 * @property {boolean} angle whether it is a crank angle, before or after TDC
 * @property {string} allowed
 * @property {{value: string, label: string}[]} choices
 */
/**
 * @typedef {{title: string, optional: boolean, fields: Face[]}} Group
 * @typedef {{key: string, title: string, columns: Face[]}} UnitTable
 * @typedef {{id: string, title: string, groups: Group[], table?: UnitTable}} Section
 * @typedef {{name: string, title: string, what: string, groups: Group[]}} SideCalculation
 * @typedef {{value: string, label: string, methods: Record<string, string[]>, lists: string[]}} ReadingEvent
 * @typedef {{stages: {value: string, label: string}[], events: ReadingEvent[], fields: Record<string, Face>}} ReadingsDescription
 */

// What tsc infers from the file's present content is too narrow: an empty list there is a list of nothing.
export const { sections, readings, side } =
  /** @type {{sections: Section[], readings: ReadingsDescription, side: SideCalculation[]}} */ (/** @type {unknown} */ (description));
