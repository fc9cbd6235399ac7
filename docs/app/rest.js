// What is out of sight is drawn after what is in sight: once Python has answered for the first time and nobody waits, or as soon as
// somebody needs it. Until then the page's root says `data-drawing`.

const root = document.documentElement;
// Not every browser tells when it has nothing else to do.
const whenIdle = globalThis.requestIdleCallback?.bind(globalThis) ?? setTimeout;
/** Milliseconds after which a browser that is never idle draws all the same. */
const LATEST = 200;

export class Rest {
  /** @type {Map<Element, Set<() => void>>} what is to do in each box, in order */
  #work = new Map();
  #begun = false;
  #waits = false;

  get isEmpty() {
    return this.#work.size === 0;
  }

  /** @param {Element} box in which it is drawn @param {() => void} act */
  put(box, act) {
    this.#work.set(box, (this.#work.get(box) ?? new Set()).add(act));
    root.toggleAttribute("data-drawing", true);
    this.#goOn();
  }

  /** From now on it is drawn whenever the page is idle. */
  begin() {
    this.#begun = true;
    this.#goOn();
  }

  /** Draw at once what is to do in a box that is going to be seen, or all of it. @param {Element} [inside] */
  finish(inside = root) {
    for (const box of [...this.#work.keys()]) if (inside === root || inside.contains(box)) this.#draw(box);
  }

  /** @param {Element} box */
  #draw(box) {
    const acts = this.#work.get(box);
    this.#work.delete(box);
    for (const act of acts ?? []) act();
    if (this.isEmpty) root.removeAttribute("data-drawing");
  }

  #goOn() {
    if (!this.#begun || this.#waits || this.isEmpty) return;
    this.#waits = true;
    whenIdle(() => {
      this.#waits = false;
      // One box at a time, so that no key waits for more.
      const [box] = this.#work.keys();
      if (box) this.#draw(box);
      this.#goOn();
    }, { timeout: LATEST });
  }
}
