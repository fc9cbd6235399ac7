// One tab at a time writes a job: who holds the browser's lock of that name. A lock ends with its tab, however that ends.

/** Browsers give locks to files and to https, but not to http from another machine. */
const locks = /** @type {LockManager | undefined} */ (navigator.locks);

/** @param {string} job */
const nameOf = (job) => `spillmark-job-${job}`;

export class Claim {
  #end = () => {};
  #waiting = new AbortController();
  #name;
  #isGranted = false;
  /** Settled when no other tab writes this job any more; never, when the claim is given up before. @type {Promise<void>} */
  granted;

  /** @param {string} job */
  constructor(job) {
    this.#name = nameOf(job);
    this.granted = new Promise((granted) => {
      if (!locks) return granted();
      const held = locks.request(this.#name, { signal: this.#waiting.signal }, () => {
        this.#isGranted = true;
        granted();
        return /** @type {Promise<void>} */ (new Promise((end) => (this.#end = end)));
      });
      // Given up while waiting.
      held.catch(() => {});
    });
  }

  /** Whether a granted claim shuts other tabs out. Where it does not, each write looks for itself. */
  get isSole() {
    return locks !== undefined;
  }

  /** Whether it is another tab that keeps us waiting, and not a slow machine. */
  async isBlocked() {
    const { held = [] } = (await locks?.query()) ?? {};
    return !this.#isGranted && held.some(({ name }) => name === this.#name);
  }

  release() {
    this.#waiting.abort();
    this.#end();
  }
}

/**
 * Do something to a job that is not open in any tab.
 * @param {string} job
 * @param {() => Promise<void>} act
 * @returns {Promise<boolean>} whether it was done
 */
export async function whileClosed(job, act) {
  if (locks) {
    return locks.request(nameOf(job), { ifAvailable: true }, async (lock) => {
      if (lock) await act();
      return lock !== null;
    });
  }
  await act();
  return true;
}

/**
 * Begin a visit, which lasts as long as any tab of the worksheet is open.
 * @param {(isFirst: boolean) => Promise<void>} act what to do at its start; `isFirst` where no other tab is open
 */
export async function beginVisit(act) {
  const name = "spillmark-visit";
  if (!locks) return act(false);
  try {
    await locks.request(name, { ifAvailable: true }, (lock) => act(lock !== null));
  } finally {
    locks.request(name, { mode: "shared" }, () => new Promise(() => {}));
  }
}
