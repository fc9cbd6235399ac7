// Where the person is: which unit a phone shows, in the readings and in the findings alike.

/** @extends EventTarget Tells of `moved`. */
export class View extends EventTarget {
  unit = 1;

  /** @param {{unit: number}} where */
  move({ unit }) {
    if (unit === this.unit) return;
    this.unit = unit;
    this.dispatchEvent(new Event("moved"));
  }
}
