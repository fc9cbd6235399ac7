// Keeping a copy waits until the page has all that it needs itself: on a slow line they would take the room from each other.

/** Milliseconds that Python may take to start before others go on. */
const PATIENCE = 60_000;

const isDone = () => document.documentElement.dataset.calc !== "loading";

export async function calm() {
  if (document.readyState !== "complete") await new Promise((go) => window.addEventListener("load", go, { once: true }));
  if (!isDone()) {
    await new Promise((go) => {
      const watching = new MutationObserver(() => isDone() && go(undefined));
      watching.observe(document.documentElement, { attributeFilter: ["data-calc"] });
      setTimeout(go, PATIENCE);
    });
  }
  await new Promise((go) => ("requestIdleCallback" in window ? requestIdleCallback(go, { timeout: 2000 }) : setTimeout(go, 500)));
}
