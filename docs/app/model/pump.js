// The model's pump in the browser: reads the table and adds, in the same whole numbers as calc/moving/pump.py.

import table from "./table.js";

/** @typedef {import("./table.js").Setting} Setting */
/** @typedef {import("./table.js").Place} Place */

const { row: ROW, per_turn: TURN, per_mm: PER_MM, fifths: FIFTHS } = table;
const ROWS = TURN / ROW;
const DIGIT = PER_MM / 100;

// The table holds by how much each step from row to row differs from the one before.
let step = 0;
let sum = 0;
const lifts = table.bends.map((/** @type {number} */ bend) => {
  step += bend;
  sum += step;
  return sum;
});

/** @param {number} value @param {number} of */
const modulo = (value, of) => ((value % of) + of) % of;

/** The whole number nearest to a quotient, a half counting up. @param {number} value @param {number} of */
const nearest = (value, of) => Math.floor((2 * value + of) / (2 * of));

/** @param {number} row @param {number} wear */
function rowAt(row, wear) {
  const lift = lifts[modulo(row - table.lift_from, ROWS)] ?? 0;
  return wear ? lift - wear * (table.worn[modulo(row - table.worn_from, ROWS)] ?? 0) : lift;
}

/** @param {number} cam hundredths of a degree @param {number} wear */
function liftAt(cam, wear) {
  const row = Math.floor(cam / ROW);
  const here = rowAt(row, wear);
  return ROW * here + (cam - ROW * row) * (rowAt(row + 1, wear) - here);
}

/** @param {number} cam @param {number[]} stretch */
const within = (cam, [from, to]) => modulo(cam - from, TURN) < to - from;

/**
 * Turning, ahead where `by` is positive: the cam follows when the play is taken up.
 *
 * @param {Place} place @param {number} by @param {Setting} setting
 * @returns {Place}
 */
export function turned({ flywheel, slack }, by, setting) {
  return {
    flywheel: modulo(flywheel + by + TURN / 2 - 1, TURN) - TURN / 2 + 1,
    slack: Math.min(Math.max(slack - by, 0), setting.play * 10),
  };
}

/** @param {Place} place @param {Setting} setting @returns {"ahead" | "between" | "astern"} */
export function side({ slack }, setting) {
  if (slack === 0) return "ahead";
  return slack === setting.play * 10 ? "astern" : "between";
}

/** @param {number} lift @param {Setting} setting */
const suctionHeld = (lift, setting) =>
  FIFTHS * (table.seat + DIGIT * setting.suction) + table.suction_fifths * (table.pre_stroke - lift);

/** @param {number} lift @param {Setting} setting */
const spillHeld = (lift, setting) =>
  FIFTHS * (table.seat + DIGIT * setting.spill) + table.spill_fifths * (lift - table.spill_lifts[setting.index]);

/** @param {number} held */
const valveDigits = (held) => nearest(Math.max(held, 0), FIFTHS * DIGIT);

/** @param {number} suction @param {number} spill @param {number} cam */
function chamberOf(suction, spill, cam) {
  const spills = spill >= FIFTHS * table.seat;
  if (suction > FIFTHS * table.seat) return spills ? "both" : "suction";
  if (spills) return "spill";
  return within(cam, table.falling) ? "closed" : "delivering";
}

/**
 * All that the picture shows: where the parts are in millimetres, and the gauges' digits in hundredths of one.
 *
 * @param {Place} place @param {Setting} setting
 */
export function shown(place, setting) {
  const cam = place.flywheel + place.slack - 10 * setting.cam;
  const lift = liftAt(cam, setting.wear);
  const suction = suctionHeld(lift, setting);
  const spill = spillHeld(lift, setting);
  return {
    cam,
    plunger: nearest(lift, DIGIT),
    suction: valveDigits(suction),
    spill: valveDigits(spill),
    chamber: chamberOf(suction, spill, cam),
    flow: within(cam, table.rising) ? 1 : within(cam, table.falling) ? -1 : 0,
    lift_mm: lift / PER_MM,
    suction_mm: suction / FIFTHS / PER_MM,
    spill_mm: spill / FIFTHS / PER_MM,
  };
}

/** The cam angle at which the rising plunger reaches a lift. @param {number} wanted @param {number} wear */
function angleOf(wanted, wear) {
  let row = table.rise[0];
  while (ROW * rowAt(row + 1, wear) < wanted) row += 1;
  const below = ROW * rowAt(row, wear);
  return ROW * row + nearest(ROW * (wanted - below), ROW * rowAt(row + 1, wear) - below);
}

/**
 * What a setting makes, turned ahead: lifts and opening in hundredths of a millimetre, angles in hundredths of a degree.
 *
 * @param {Setting} setting
 */
export function made(setting) {
  const start = table.pre_stroke + (FIFTHS * DIGIT * setting.suction) / table.suction_fifths;
  const end = table.spill_lifts[setting.index] - (FIFTHS * DIGIT * setting.spill) / table.spill_fifths;
  const [startAngle, endAngle] = [start, end].map((lift) => angleOf(lift, setting.wear) + 10 * setting.cam);
  return {
    start: { lift: nearest(start, DIGIT), angle: startAngle },
    end: { lift: nearest(end, DIGIT), angle: endAngle },
    stroke: nearest(Math.max(0, end - start), DIGIT),
    delivers: end > start,
    delivery: Math.max(0, endAngle - startAngle),
    opening: valveDigits(spillHeld(start, { ...setting, index: 0 })),
  };
}
