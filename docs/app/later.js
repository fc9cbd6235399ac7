// The theme's scripts make menus and search. On the worksheet they come after the form, and after Python: whoever opens it waits for
// these two. The template names them with a type that no browser runs.

const LATER = "text/later";

/** Milliseconds until they come in any case: a slow line may take minutes for Python's files. */
const PATIENCE = 1000;
/** Milliseconds in which Python has its first answer through. */
const ANSWER = 300;

function load() {
  for (const { src } of /** @type {NodeListOf<HTMLScriptElement>} */ (document.querySelectorAll(`script[type="${LATER}"]`))) {
    const script = document.createElement("script");
    script.src = src;
    // One after the other, as they stand.
    script.async = false;
    document.head.append(script);
  }
}

const root = document.documentElement;
const python = new Promise((/** @type {(_?: unknown) => void} */ resolve) => {
  const look = () => {
    if (root.dataset.calc === "ready") setTimeout(resolve, ANSWER);
    else if (root.dataset.calc === "failed") resolve();
  };
  look();
  new MutationObserver(look).observe(root, { attributeFilter: ["data-calc"] });
});
const enough = new Promise((resolve) => setTimeout(resolve, PATIENCE));
/** Who reaches for the menus gets them at once. */
const reached = new Promise((resolve) => {
  for (const sign of ["pointerover", "focusin"]) document.querySelector(".md-header")?.addEventListener(sign, resolve, { once: true });
});
Promise.race([python, enough, reached]).then(load);
