/** For tests while there is no other: a slider over the stops of a path. */

/** @param {HTMLElement} element @param {{moved: function(number): void}} on @returns {object} */
export function weightBar(element, on) {
  const slider = Object.assign(document.createElement("input"), {
    type: "range",
    min: 0,
    max: 100,
    value: 0,
    disabled: true,
  });
  slider.setAttribute("aria-label", "weight");
  const label = document.createElement("p");
  let stops = null;
  const tell = () => {
    label.textContent = stops[slider.value];
    slider.setAttribute("aria-valuetext", stops[slider.value]);
    on.moved(slider.value / 100);
  };
  slider.addEventListener("input", tell);
  const clear = document.createElement("p");
  element.append(slider, label, clear);
  return {
    show(path, share = 0) {
      stops = path.stops;
      slider.disabled = false;
      slider.value = String(100 * share);
      label.textContent = stops[slider.value];
      clear.textContent = path.stand_clear.text;
    },
    empty() {
      slider.disabled = true;
      label.textContent = "not yet";
    },
    play() {
      slider.value = "100";
      tell();
    },
  };
}
