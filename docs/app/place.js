// Python's HTML put in its place, without disturbing what the reader has opened or holds the focus on.

/** A place for Python's HTML, drawn again only where it has changed. */
export class Place {
  #html = "";
  box;

  /** @param {HTMLElement} box */
  constructor(box) {
    this.box = box;
  }

  /** @param {string} html */
  put(html) {
    if (html === this.#html) return;
    this.#html = html;
    const opened = openedIn(this.box);
    const focus = focusIn(this.box);
    // Python has escaped every text in it.
    this.box.innerHTML = html;
    for (const [at, each] of this.box.querySelectorAll("details").entries()) each.open = opened[at] ?? false;
    if (focus >= 0) focusable(this.box)[focus]?.focus();
  }
}

/** @param {HTMLElement} box */
function openedIn(box) {
  return [...box.querySelectorAll("details")].map(({ open }) => open);
}

/** @param {HTMLElement} box @returns {HTMLElement[]} */
function focusable(box) {
  return [...box.querySelectorAll(/** @type {"a"} */ ("a, button, input, summary, [tabindex]"))];
}

/** @param {HTMLElement} box */
function focusIn(box) {
  return focusable(box).findIndex((each) => each === document.activeElement);
}
