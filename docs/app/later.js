// The theme's scripts make menus and search. On a page to type in they come after the form, and after Python's files where those are
// quickly there: whoever opens the page waits for these, and not for menus. The template names them with a type that no browser runs.

const LATER = "text/later";

/** Milliseconds: a slow line may take minutes for Python's files, and the menus are for those who read meanwhile. */
const PATIENCE = 400;

function load() {
  for (const { src } of /** @type {NodeListOf<HTMLScriptElement>} */ (document.querySelectorAll(`script[type="${LATER}"]`))) {
    const script = document.createElement("script");
    script.src = src;
    // One after the other, as they stand.
    script.async = false;
    document.head.append(script);
  }
}

const loaded = new Promise((resolve) => addEventListener("load", resolve, { once: true }));
const enough = new Promise((resolve) => setTimeout(resolve, PATIENCE));
Promise.race([loaded, enough]).then(load);
