// On a narrow window, and on any screen that is zoomed in, the theme opens its menu, the lists within it and its search by labels
// of hidden boxes. A mouse reaches those, keys and screen readers do not. Here each gets a button over itself, with a name and a
// state. (What is out of sight is kept out of reach of keys by stylesheets/site.css.)

import { element } from "./element.js";

/** Where the theme folds its menu away. */
const narrow = matchMedia("(max-width: 76.234375em)");
const drawer = /** @type {HTMLInputElement | null} */ (document.getElementById("__drawer"));
const menu = document.querySelector(".md-sidebar--primary");
const NAMES = new Map([["__drawer", "Menu"], ["__search", "Search"]]);

/** Go to the first thing within that keys reach. @param {Element | null | undefined} within */
function enter(within) {
  const found = [...within?.querySelectorAll("a[href], button") ?? []].find((each) => each.checkVisibility({ visibilityProperty: true }));
  if (found instanceof HTMLElement) found.focus();
}

/** @param {HTMLLabelElement} label */
function addButton(label) {
  const box = /** @type {HTMLInputElement} */ (document.getElementById(label.htmlFor));
  const isBack = label.matches(".md-nav__title");
  const words = label.textContent?.trim() ?? "";
  const name = NAMES.get(label.htmlFor) ?? (isBack ? `Back from ${words}` : words);
  const button = element("button", { type: "button", class: "sm-reach", "aria-label": name });
  const show = () => isBack || button.setAttribute("aria-expanded", String(box.checked));
  show();
  label.removeAttribute("tabindex");
  label.append(button);
  button.addEventListener("click", () => box.click());
  box.addEventListener("change", () => {
    show();
    if (isBack || !narrow.matches || !menu?.contains(label)) return;
    // A list lies on the one that it was opened from.
    if (box.checked) enter(label.parentElement?.querySelector(":scope > nav"));
    else button.focus();
  });
}

const LABELS = ".md-header__button[for=__drawer], .md-header__button[for=__search], .md-nav__title:not([for=__drawer]), .md-nav__link";
for (const label of document.querySelectorAll("label")) if (label.matches(LABELS)) addButton(label);

if (drawer && menu) {
  const close = () => drawer.checked && drawer.click();
  drawer.addEventListener("change", () => drawer.checked && enter(menu));
  menu.addEventListener("keydown", (event) => {
    if (!(event instanceof KeyboardEvent) || event.key !== "Escape" || !drawer.checked) return;
    close();
    enter(document.querySelector(".md-header__button[for=__drawer]"));
  });
  // What lies under the open menu is not to be gone about in.
  menu.addEventListener("focusout", (event) => {
    const to = event instanceof FocusEvent ? event.relatedTarget : null;
    if (to instanceof Node && !menu.contains(to)) close();
  });
}

// Of the two choices of light and dark only the one on show is to be reached: the theme checks none, so a step back reached the other.
addEventListener("load", () => {
  for (const option of document.querySelectorAll("input.md-option")) {
    if (option instanceof HTMLInputElement && option.dataset.mdColorScheme === document.body.dataset.mdColorScheme) option.checked = true;
  }
});
