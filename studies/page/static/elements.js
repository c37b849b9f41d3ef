/** Elements made in one line. Text is always text, whatever stands in it. */

/**
 * An element with its attributes and children; strings become text.
 *
 * @param {string} tag
 * @param {object} attributes `class`, `id` and so on; a function is a listener of that event; false leaves it out
 * @param {...(Node|string|null)} children
 * @returns {HTMLElement}
 */
export function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") element.addEventListener(name, value);
    else if (value === true) element.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined)
      element.setAttribute(name, String(value));
  }
  element.append(...children.filter((child) => child !== null && child !== undefined));
  return element;
}

/**
 * A button that acts.
 *
 * @param {string} text
 * @param {function(): void} act
 * @param {object} attributes
 * @returns {HTMLButtonElement}
 */
export function button(text, act, attributes = {}) {
  return make("button", { type: "button", click: act, ...attributes }, text);
}
