/** For tests while there is no other: a button for a view. */

/** @param {HTMLElement} element @param {{view: function(string): void}} on @returns {object} */
export function lookCloser(element, on) {
  const button = Object.assign(document.createElement("button"), {
    type: "button",
    textContent: "stress along the grain",
  });
  button.addEventListener("click", () => on.view("along"));
  element.append(button);
  return { scene() {}, path() {} };
}
