// Labels and hints of the form's description as they stand in different places of the page.

/**
 * A label as the first word of a line.
 * @param {string} text
 */
export function capital(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** @param {{label: string, unit: string}} face */
export function withUnit({ label, unit }) {
  return unit ? `${label}, ${unit}` : label;
}

/**
 * Where to find a value, as the tail of a line.
 * @param {string} find
 */
export function findIt(find) {
  return find && `Find it: ${find.charAt(0).toLowerCase()}${find.slice(1)}`;
}
