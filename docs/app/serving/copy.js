// The page's side of the copy that the service worker keeps: sees to it that the copy is made and says how far it is.

import { calm } from "./calm.js";

/** @import { FromWorker, State, ToWorker } from "./messages.js" */

/**
 * Why no copy is kept here: the person does not want one; the address is http on another machine; the browser has no service
 * workers; it refuses this one; the server cannot be reached; the server wants no copies.
 * @typedef {"off" | "insecure" | "unsupported" | "refused" | "unreachable" | "retired"} Hindrance
 */

/** Milliseconds after which the worker is asked again: a browser ends one that nobody has asked for half a minute. */
const AGAIN = 20_000;
/** Milliseconds between two tries while the server cannot be reached or is in the middle of an upload. */
const SELDOM = 300_000;
/** Milliseconds after which a page that stays open looks for a new version. Every page that is opened does so by itself. */
const DAY = 86_400_000;

/** @extends EventTarget Tells of `changed`. */
export class Copy extends EventTarget {
  #root;
  #script;
  #off;
  /** @type {ServiceWorkerContainer | undefined} */
  #workers = navigator.serviceWorker;
  /** @type {ServiceWorkerRegistration | undefined} */
  #registration;
  /** @type {number | undefined} */
  #timer;
  #pause = AGAIN;
  #looked = Date.now();
  /** Whether the browser has just brought this page back as it was. */
  #isBack = false;
  /** @type {State | undefined} */
  state;
  /** The build that this page came from. @type {string | undefined} */
  mine;
  /** @type {Hindrance | undefined} */
  hindrance;
  /** What the browser said about it. */
  detail = "";

  /** @param {URL} root the site's folder */
  constructor(root) {
    super();
    this.#root = root;
    this.#script = new URL("service-worker.js", root).href;
    this.#off = `spillmark-no-copy ${root.pathname}`;
  }

  async start() {
    if (!this.#workers) return this.#stop(isSecureContext ? "unsupported" : "insecure");
    if (this.#isOff) return this.#stop("off");
    this.#workers.addEventListener("message", ({ data, source }) => {
      // A site in a folder above may have a worker too.
      if (source instanceof ServiceWorker && source.scriptURL === this.#script) this.#hear(data);
    });
    this.#workers.startMessages();
    // A newer worker has taken over.
    this.#workers.addEventListener("controllerchange", () => this.#ask());
    window.addEventListener("online", () => this.#ask());
    window.addEventListener("pageshow", ({ persisted }) => {
      if (!persisted) return;
      this.#isBack = true;
      this.#ask();
    });
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible" && Math.abs(Date.now() - this.#looked) > DAY) this.look();
    });
    await calm();
    await this.#register();
  }

  /** Look for a new version on the server. @returns {Promise<boolean>} whether the server answered */
  async look() {
    this.#looked = Date.now();
    // Without a network there is nothing to find, and a failed look is noise on the console.
    if (!navigator.onLine || !this.#registration) return false;
    const answered = await this.#registration.update().then(() => true, () => false);
    this.#ask();
    return answered;
  }

  /** Load the newest version into this page. What is typed is kept by the page when it is left, as always. */
  load() {
    if (this.state?.phase === "whole" && this.state.current?.name !== this.state.next.name) this.#send({ do: "switch" });
    else location.reload();
  }

  /** Delete the copy and keep none from now on. */
  forget() {
    this.#remember(true);
    this.#send({ do: "forget" });
  }

  /** Keep a copy, or try again to. */
  keep() {
    this.#remember(false);
    // Where there is no worker, or was one until now, the page begins anew.
    if (this.hindrance || !this.#registration) location.reload();
    else this.#ask();
  }

  get #isOff() {
    try {
      return localStorage.getItem(this.#off) !== null;
    } catch {
      return false;
    }
  }

  /** @param {boolean} isOff */
  #remember(isOff) {
    try {
      if (isOff) localStorage.setItem(this.#off, "yes");
      else localStorage.removeItem(this.#off);
    } catch {
      // Then it holds for this page only.
    }
  }

  async #register() {
    try {
      this.#registration = await this.#workers?.register(this.#script, {
        scope: this.#root.pathname,
        // Nothing on the way may hold back what says that there is a new version.
        updateViaCache: "none",
      });
      this.#ask();
    } catch (trouble) {
      const { name, message } = /** @type {Error} */ (trouble);
      this.detail = message;
      // A browser says TypeError where it could not get the script.
      this.#stop(name === "TypeError" ? "unreachable" : "refused");
    }
  }

  #ask() {
    this.#send({ do: "keep" });
  }

  /** @param {ToWorker} message */
  async #send(message) {
    this.#waitNoMore();
    const { active } = (await this.#workers?.ready) ?? {};
    active?.postMessage(message);
  }

  /** @param {FromWorker} message */
  #hear(message) {
    if (message.kind === "switched") return location.reload();
    if (message.kind === "forgotten") return this.#stop("off");
    if (message.kind === "retired") return this.#stop("retired");
    if (this.hindrance) return;
    // Brought back after its build was thrown away, the page could not load the rest of itself.
    if (message.mine && this.#isBack && message.mine !== this.mine) return location.reload();
    this.mine = message.mine ?? this.mine;
    if (message.kept > (this.state?.kept ?? 0)) this.#pause = AGAIN;
    this.state = message;
    this.#plan(message);
    this.dispatchEvent(new Event("changed"));
  }

  /** @param {State} state */
  #plan({ phase, trouble }) {
    const goesOn = phase === "keeping" || (phase === "stopped" && (trouble === "unreachable" || trouble === "unlike"));
    if (!goesOn) return this.#waitNoMore();
    // News of progress puts nothing off: a browser gives a worker five minutes from the last time that it was asked.
    this.#timer ??= setTimeout(() => {
      this.#timer = undefined;
      if (phase === "stopped") this.#pause = Math.min(2 * this.#pause, SELDOM);
      if (navigator.onLine) this.#ask();
    }, phase === "keeping" ? AGAIN : this.#pause);
  }

  #waitNoMore() {
    clearTimeout(this.#timer);
    this.#timer = undefined;
  }

  /** @param {Hindrance} hindrance */
  #stop(hindrance) {
    this.#waitNoMore();
    this.state = undefined;
    this.hindrance = hindrance;
    this.dispatchEvent(new Event("changed"));
  }
}
