/** The scale of colours beside the corner, with its words and numbers. */

import { colourAt } from "./colours.js";

const STOPS = 32;

/**
 * A legend inside an element.
 * @param {HTMLElement} element
 * @returns {object} show({table, title, ticks: [{at, text}]}): ticks from 0 to 1, a text may have two lines; or
 *   show({title, swatches: [{kind, text}]}), kind being bare or torn
 */
export function colourLegend(element) {
  element.classList.add("corner-legend");
  const [title, bar, ticks] = ["legend-title", "legend-bar", "legend-ticks"].map((name) => {
    const part = document.createElement("div");
    part.className = name;
    element.append(part);
    return part;
  });
  bar.setAttribute("aria-hidden", "true");
  return {
    show(given) {
      title.textContent = given.title ?? "";
      element.classList.toggle("has-swatches", Boolean(given.swatches));
      if (given.swatches) return void ticks.replaceChildren(...given.swatches.map(swatch));
      const stops = Array.from({ length: STOPS + 1 }, (_, index) => colourAt(given.table, index / STOPS));
      bar.style.setProperty("--across", `linear-gradient(to right, ${stops.join(", ")})`);
      bar.style.setProperty("--upward", `linear-gradient(to top, ${stops.join(", ")})`);
      ticks.replaceChildren(...given.ticks.map(({ at, text }, index) => {
        const tick = document.createElement("span");
        tick.textContent = text;
        tick.style.setProperty("--at", `${100 * at}%`);
        tick.classList.toggle("first", index === 0);
        tick.classList.toggle("last", index === given.ticks.length - 1);
        tick.classList.toggle("lesser", at === 0.25 || at === 0.75);
        return tick;
      }));
    },
  };
}

function swatch({ kind, text }) {
  const line = document.createElement("div");
  line.className = `legend-swatch ${kind}`;
  line.textContent = text;
  return line;
}
