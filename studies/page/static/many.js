/** A question of many: one word of the sentence at many values, each point a corner that can be shown. */

import { button, make } from "./elements.js";

const MOST = 25; // of whole numbers and of choices, which all are to be seen
const MOST_BETWEEN = 13; // of quantities, between which the eye draws its own line

/**
 * A chart that fills in.
 *
 * @param {HTMLElement} element
 * @param {{ask: function(object): void, stop: function(): void, open: function(object): void, put: function(boolean): void}} on
 *   `ask` gets corner, units, key and stops; `open` corner, units, key and value of the point that was tapped;
 *   `put` hears whether there is a chart
 * @returns {{begin: function(object): void, answer: function(object): void, lost: function(): void}}
 */
export function manyCorners(element, on) {
  let question = null;
  let points = [];
  let running = false;
  const state = make("p", { class: "many-state", role: "status" });
  const stop = button("Stop", halt);
  const away = button("Put away", () => {
    halt();
    on.put(false);
  });
  const chart = make("div", { class: "many-chart", role: "group", tabindex: "0" });
  const legend = make("p", { class: "many-legend" });

  /** @param {{corner: object, units: string, key: string, label: string, values: string[], texts: string[], between: boolean}} asked */
  function begin(asked) {
    const chosen = evenly(asked.values.length, asked.between ? MOST_BETWEEN : MOST);
    question = {
      ...asked,
      values: chosen.map((at) => asked.values[at]),
      texts: chosen.map((at) => asked.texts[at]),
    };
    points = question.values.map(() => null);
    running = true;
    chart.setAttribute("aria-label", `Break load for each ${question.label}`);
    element.replaceChildren(make("div", { class: "many-top" }, state, stop, away), chart, legend);
    on.put(true);
    draw();
    on.ask({ corner: question.corner, units: question.units, key: question.key, stops: question.values });
    stop.focus();
  }

  function answer(heard) {
    if (!question) return;
    if (heard.answer === "point") points[heard.at] = heard;
    if (heard.answer === "done" || heard.answer === "failed") running = false;
    draw(heard.answer === "failed" ? heard.message : "");
  }

  function halt() {
    if (running) on.stop();
    running = false;
    draw();
  }

  function draw(trouble = "") {
    const done = points.filter(Boolean).length;
    state.textContent =
      trouble || `${question.label}: ${done} of ${points.length} corners ${running ? "so far" : "done"}`;
    stop.hidden = !running;
    const most = Math.max(...points.map((point) => (point && point.load_N) || 0)) * 1.08 || 1;
    const letters = Math.max(...points.map((point) => point?.load_text?.length || 0));
    chart.style.setProperty("--letters", String(letters));
    const focused = [...chart.children].indexOf(document.activeElement);
    chart.replaceChildren(...points.map((point, index) => column(point, index, most)));
    if (focused >= 0) chart.children[focused].focus();
    const ways = [
      ...new Set(points.filter((point) => point && point.breaks_in).map((point) => point.breaks_in)),
    ];
    legend.replaceChildren(
      ...ways.flatMap((way) => [
        make("span", { class: `dot ${shape(way)}`, "aria-hidden": "true" }),
        ` ${way}  `,
      ]),
    );
  }

  /** A column reads "9 fingers: 1.49 kN, breaks in glue"; of that the eye needs only the numbers. */
  function column(point, index, most) {
    const text = question.texts[index];
    const unit = /^[\d\s/.-]+$/.test(text) ? ` ${question.label}` : "";
    const name = (rest) =>
      make("span", { class: "many-name" }, text, make("span", { class: "unseen" }, `${unit}${rest}`));
    if (!point)
      return make(
        "div",
        { class: "many-point is-waiting" },
        name(""),
        make("span", { class: "many-space" }, running ? "…" : ""),
      );
    if (point.wrong) {
      const cross = make(
        "span",
        { class: "many-space", "aria-hidden": "true" },
        make("span", { class: "dot none" }, "✗"),
      );
      const tell = () => {
        state.textContent = `${text}${unit}: ${point.wrong}`;
      };
      return make(
        "button",
        { type: "button", class: "many-point is-wrong", click: tell },
        name(`: ${point.wrong}`),
        cross,
      );
    }
    const dot = make("span", { class: `dot ${shape(point.breaks_in)}` });
    const load = make(
      "span",
      { class: "many-load" },
      point.load_text,
      make("span", { class: "unseen" }, `, breaks in ${point.breaks_in}`),
    );
    const stick = make("span", { class: "stick" });
    stick.style.height = dot.style.bottom = load.style.bottom = `${(100 * (point.load_N || 0)) / most}%`;
    const show = () =>
      on.open({
        corner: question.corner,
        units: question.units,
        key: question.key,
        value: question.values[index],
      });
    return make(
      "button",
      { type: "button", class: "many-point", click: show },
      name(":"),
      make("span", { class: "many-space" }, stick, dot, load),
    );
  }

  function lost() {
    if (!running) return;
    running = false;
    draw("The rest was not computed, since the program stopped.");
  }

  return { begin, answer, lost };
}

/** At most so many of a count, evenly spread, both ends among them. */
function evenly(count, most) {
  if (count <= most) return Array.from({ length: count }, (_, index) => index);
  const wanted = Array.from({ length: most }, (_, index) => Math.round((index * (count - 1)) / (most - 1)));
  return [...new Set(wanted)];
}

function shape(way) {
  return { glue: "round", wood: "square", fastener: "slant" }[way] || "round";
}
