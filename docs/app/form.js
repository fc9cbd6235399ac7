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
 * @property {string} stamp of a name that signs: the field that takes the day and time
 * @property {string} beside the field of the same row that is shown with it
 * @property {string[]} only names of the rows that have it; empty for every row
 * @property {{value: string, label: string}[]} choices
 */
/**
 * @typedef {{value: string, label: string, note?: string, needs?: string, signal?: string}} Named
 * @typedef {{name: string, label: string, kind: "unit" | "listed", values: Named[]}} Axis what names the rows of a table
 * @typedef {{key: string, one: string, start: number, most: number, required: boolean}} RowsOf a list: its key, what one of
 *   it is called, how many rows are drawn at first and at most, and whether there has to be one
 * @typedef {{title: string, optional?: boolean, rows?: RowsOf | null, fields: Face[]}} Group
 * @typedef {{name: string, title: string, say: string, page: string, step: string, groups: Group[]}} Calculation `page`: where it is
 *   explained; `step`: where it is offered
 * @typedef {{key: string, title: string, axes: Axis[], columns: Face[], names: string, settles: string}} Table `names`: the field
 *   that a row of one's own is called by, so the list is open; `settles`: the field that takes a row out of later steps
 * @typedef {{id: string, title: string, say: string, page: string, confirmsLast: boolean, turns: boolean, aside: boolean, around: string, groups: Group[], tables: Table[],
 *   confirmations: Named[], names: Face[]}} Step `names`: what the step closes with; `around`: title of the calculations in it
 * @typedef {{value: string, label: string, methods: Record<string, string[]>, lists: string[], step: string, needs: string}} ReadingEvent `needs`: what the engine must have
 * @typedef {{groups: Group[], done: Table}} PlanDescription the choices for a turning plan, and of each unit what is done
 * @typedef {{direction: {key: string, values: string[]}, stages: (Named & {step: string})[], events: ReadingEvent[],
 *   fields: Record<string, Face>}} ReadingsDescription
 */

// What tsc infers from the file's present content is too narrow: an empty list there is a list of nothing.
export const { steps, confirmations, readings, calculations, plan, trend } =
  /** @type {{steps: Step[], confirmations: Table, readings: ReadingsDescription, calculations: Calculation[], plan: PlanDescription,
   *   trend: {say: string, fields: Face[]}}} */ (
    /** @type {unknown} */ (description));

/** What stands behind the # of the page's address when a step is open. @param {string} id */
export function addressOf(id) {
  return `step-${id}`;
}

/** The lists besides the readings that can be saved as tables, each once. A list of a group belongs to the settings. */
export const csvTables = [...new Map([confirmations, ...steps.flatMap(({ tables }) => tables)]
  .filter(({ key }) => !key.includes(".")).map((table) => [table.key, table])).values()];

/** The tables whose rows belong to units, as the start of their keys, with the place of the unit's number in a key. */
export const unitPlaces = new Map([
  ["readings", 1],
  ...steps.flatMap(({ tables }) => tables).map(({ key, axes }) =>
    /** @type {[string, number]} */ ([key, axes.findIndex(({ kind }) => kind === "unit") + 1])),
].filter(([, place]) => Number(place) > 0).map(([key, place]) => /** @type {[string, number]} */ ([key, place])));
