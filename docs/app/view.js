// Where the person is: which unit a phone shows, in the readings and in the findings alike; and what is in sight.

import { Rest } from "./rest.js";

/** @extends EventTarget Tells of `moved`. */
export class View extends EventTarget {
  unit = 1;
  /** What is drawn later, since nobody sees it. */
  rest = new Rest();

  /** @param {{unit: number}} where */
  move({ unit }) {
    if (unit === this.unit) return;
    this.unit = unit;
    this.dispatchEvent(new Event("moved"));
  }

  /** Draw something at once where it is seen, else later. @param {Element} box @param {() => void} act */
  draw(box, act) {
    if (box.checkVisibility()) act();
    else this.rest.put(box, act);
  }
}
