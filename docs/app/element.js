// Making elements. Text always goes in as text: nothing from a file can become markup here.

/**
 * @template {keyof HTMLElementTagNameMap} Tag
 * @param {Tag} tag
 * @param {Record<string, string | boolean | undefined>} [attributes] true is an empty attribute, false and undefined none
 * @param {...(Node | string)} children
 * @returns {HTMLElementTagNameMap[Tag]}
 */
export function element(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === true) made.setAttribute(name, "");
    else if (typeof value === "string") made.setAttribute(name, value);
  }
  made.append(...children);
  return made;
}

/**
 * @param {string} label
 * @param {() => void} act
 * @param {Record<string, string | boolean | undefined>} [attributes]
 */
export function button(label, act, attributes = {}) {
  const made = element("button", { type: "button", class: "ws-button", ...attributes }, label);
  made.addEventListener("click", act);
  return made;
}
