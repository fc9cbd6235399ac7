// Where the person is: which unit a phone shows, in the readings and in the findings alike, and which
// stage is being read.

/** @extends EventTarget Tells of `moved`. */
export class View extends EventTarget {
  unit = 1;
  stage;

  /** @param {string} stage */
  constructor(stage) {
    super();
    this.stage = stage;
  }

  /** @param {{unit?: number, stage?: string}} where */
  move({ unit = this.unit, stage = this.stage }) {
    if (unit === this.unit && stage === this.stage) return;
    this.unit = unit;
    this.stage = stage;
    this.dispatchEvent(new Event("moved"));
  }
}
