// On a narrow window, and on any screen that is zoomed in, the theme opens its menu, the lists within it and its search by labels
// of hidden boxes. A mouse reaches those, keys do not. Here they are buttons: with a name, a place in the order, and a state.
// (Enter on a label is the theme's; what is out of sight is out of reach by stylesheets/site.css.)

/** Where the theme folds its menu away. */
const narrow = matchMedia("(max-width: 76.234375em)");
const drawer = /** @type {HTMLInputElement | null} */ (document.getElementById("__drawer"));
const menuButton = /** @type {HTMLElement | null} */ (document.querySelector(".md-header__button[for=__drawer]"));
const menu = /** @type {HTMLElement | null} */ (document.querySelector(".md-sidebar--primary"));
const NAMES = new Map([["__drawer", "Menu"], ["__search", "Search"]]);

/** @param {Element} each @returns {each is HTMLElement} */
function inReach(each) {
  return each instanceof HTMLElement && each.tabIndex >= 0 && each.checkVisibility({ visibilityProperty: true });
}

/** @param {Element | null | undefined} within */
function enter(within) {
  [...within?.querySelectorAll("a[href], label") ?? []].find(inReach)?.focus();
}

/** @param {HTMLLabelElement} label */
function makeButton(label) {
  const box = /** @type {HTMLInputElement} */ (label.control ?? document.getElementById(label.htmlFor));
  const isBack = label.matches(".md-nav__title");
  const name = NAMES.get(label.htmlFor) ?? (isBack ? `Back from ${label.textContent?.trim()}` : "");
  if (name) label.setAttribute("aria-label", name);
  const show = () => {
    label.tabIndex = narrow.matches ? 0 : -1;
    if (narrow.matches) label.setAttribute("role", "button");
    else label.removeAttribute("role");
    if (narrow.matches && !isBack) label.setAttribute("aria-expanded", String(box.checked));
    else label.removeAttribute("aria-expanded");
  };
  label.addEventListener("keydown", (event) => {
    if (event.key !== " ") return;
    event.preventDefault();
    label.click();
  });
  narrow.addEventListener("change", show);
  box.addEventListener("change", () => {
    show();
    if (isBack || !narrow.matches || !menu?.contains(label)) return;
    // A list lies on the one that it was opened from.
    if (box.checked) enter(label.parentElement?.querySelector(":scope > nav"));
    else label.focus();
  });
  show();
}

for (const label of document.querySelectorAll("label")) {
  if (label.matches(".md-header__button[for=__drawer], .md-header__button[for=__search], .md-nav__title:not([for=__drawer]), .md-nav__link")) makeButton(label);
}

if (drawer && menu) {
  const close = () => drawer.checked && drawer.click();
  drawer.addEventListener("change", () => drawer.checked && enter(menu));
  menu.addEventListener("keydown", ({ key }) => {
    if (key !== "Escape" || !drawer.checked) return;
    close();
    menuButton?.focus();
  });
  // What lies under the open menu is not to be gone about in.
  menu.addEventListener("focusout", ({ relatedTarget }) => {
    if (relatedTarget instanceof Node && !menu.contains(relatedTarget)) close();
  });
}
