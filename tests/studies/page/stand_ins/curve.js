/** For tests while there is no other: how many steps have come. */

/** @param {HTMLElement} element @returns {object} */
export function loadCurve(element) {
  let count = 0;
  const tell = () => {
    element.textContent = `${count} steps`;
  };
  return {
    begin: () => {
      count = 0;
      tell();
    },
    steps: (steps) => {
      count = steps.load.length + (steps.again ? 0 : count);
      tell();
    },
    path: (path) => {
      count = path.curve.load.length;
      tell();
    },
    at: (share) => {
      element.dataset.at = share;
    },
  };
}
