// Moves the parts of the drawing by the rules of `transforms` in calc/show/mechanism.py; nothing is drawn anew.

import table, { words } from "./table.js";
import { angleSaid, hundredths, millimetres } from "./words.js";

/** @typedef {import("./table.js").Setting} Setting */
/** @typedef {import("./table.js").Place} Place */

const { scene } = table;

/** @param {number} value */
const digits = (value) => String(Math.round(value * 100) / 100 || 0);
/** @param {number} by */
const up = (by) => `translate(0 ${digits(-by)})`;
/** @param {number} by */
const rotate = (by) => `rotate(${digits(by)})`;
/** @param {number} slope @param {number} x @param {number} y */
const bar = (slope, x, y) => `matrix(1 ${slope.toFixed(4)} 0 1 0 ${digits(y - slope * x)})`;

/**
 * @param {Place} place @param {Setting} setting @param {ReturnType<typeof import("./pump.js").shown>} now
 * @returns {Record<string, string>}
 */
function transforms(place, setting, now) {
  const [angle, discX, discY] = scene.eccentric[setting.index];
  const { lift_mm: lift, suction_mm: suction, spill_mm: spill } = now;
  const spillEnd = (1 - scene.spill_share) * discY + scene.spill_share * (scene.pin_y - lift);
  return {
    cam: rotate(now.cam / table.per_deg),
    flywheel: rotate(place.flywheel / table.per_deg),
    drive: up(lift),
    "suction-valve": up(Math.max(0, suction)),
    "spill-valve": up(Math.max(0, spill)),
    "suction-rod": up(suction),
    "spill-rod": up(spill),
    "suction-rod-foot": up(-scene.suction_share * lift),
    "spill-rod-foot": up(scene.level_y - spillEnd),
    "suction-rocker": bar((scene.level_mm - lift) / scene.pin_to_fulcrum, scene.fulcrum_x, scene.level_y),
    "spill-rocker": bar((discY - scene.pin_y + lift) / scene.pin_to_eccentric, scene.plunger_x, scene.pin_y - lift),
    eccentric: rotate(angle),
    strap: `translate(${digits(discX)} ${digits(discY)})`,
    "delivery-valve": up(now.chamber === "delivering" ? scene.delivery_lift : 0),
    "plunger-needle": rotate(scene.plunger_deg_per_mm * lift),
    "suction-needle": rotate(scene.valve_deg_per_mm * Math.max(0, suction)),
    "spill-needle": rotate(scene.valve_deg_per_mm * Math.max(0, spill)),
  };
}

/**
 * Take hold of a drawing.
 *
 * @param {SVGSVGElement} svg
 * @returns {(place: Place, setting: Setting, now: ReturnType<typeof import("./pump.js").shown>) => void} moves it
 */
export function sceneOf(svg) {
  const parts = [.../** @type {NodeListOf<SVGGElement>} */ (svg.querySelectorAll("[data-part]"))].map((node) => ({
    node,
    part: String(node.dataset.part),
    was: "",
  }));
  const texts = [.../** @type {NodeListOf<SVGTextElement>} */ (svg.querySelectorAll("[data-shown]"))].map((node) => ({
    node,
    shown: String(node.dataset.shown),
  }));
  const flow = /** @type {SVGGElement} */ (svg.querySelector("[data-way]"));
  const worn = /** @type {SVGPathElement} */ (svg.querySelector("[data-worn]"));

  return (place, setting, now) => {
    const at = transforms(place, setting, now);
    for (const each of parts) {
      const transform = at[each.part];
      if (transform === undefined || transform === each.was) continue;
      each.node.setAttribute("transform", transform);
      each.was = transform;
    }
    /** @type {Record<string, string>} */
    const says = {
      plunger: millimetres(now.plunger),
      suction: millimetres(now.suction),
      spill: millimetres(now.spill),
      flywheel: angleSaid(place.flywheel, true),
      chamber: words[now.chamber],
      index: hundredths(10 * setting.index, 1),
    };
    for (const { node, shown } of texts) if (node.textContent !== says[shown]) node.textContent = says[shown];
    if (svg.dataset.chamber !== now.chamber) svg.dataset.chamber = now.chamber;
    if (flow.dataset.way !== String(now.flow)) flow.dataset.way = String(now.flow);
    worn.dataset.worn = setting.wear > 0 ? "yes" : "no";
  };
}
