/** The load curve: grows while the path is computed, then carries the crack, the break and the weight. */

import { INK, LOAD } from "./colours.js";

const CURVE = "#7c2435";
const WORDS = { growing: "the path is being followed", load: "load" };

/**
 * A load curve inside an element.
 * @param {HTMLElement} element
 * @returns {object} begin(), steps(s), path(p), at(share), forget()
 */
export function loadCurve(element) {
  element.classList.add("load-curve");
  const [sheet, canvas, list] = ["div", "canvas", "ol"].map((kind) => document.createElement(kind));
  sheet.className = "curve-sheet";
  list.className = "curve-marks";
  canvas.setAttribute("role", "img");
  sheet.append(canvas);
  element.append(sheet, list);
  let curve = emptyCurve();
  let asked = 0;
  const redraw = () => {
    if (!asked) asked = requestAnimationFrame(draw);
  };
  const draw = () => {
    cancelAnimationFrame(asked);
    asked = 0;
    const ratio = window.devicePixelRatio || 1;
    const [width, height] = [sheet.clientWidth, sheet.clientHeight];
    canvas.width = Math.max(1, Math.round(width * ratio));
    canvas.height = Math.max(1, Math.round(height * ratio));
    const context = canvas.getContext("2d");
    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    drawCurve(context, curve, width, height, parseFloat(getComputedStyle(element).fontSize) || 16);
  };
  const say = () => {
    canvas.setAttribute("aria-label", described(curve));
    list.replaceChildren(...curve.marks.map(({ text }) => item(text, "")), ...(curve.after ? [item(curve.after, "after")] : []));
  };
  const sizes = new ResizeObserver(draw);
  sizes.observe(sheet);
  say();

  return {
    begin() {
      curve = emptyCurve();
      say();
      redraw();
    },
    steps({ again, displacement, load, load_unit: unit, load_factor: factor = 1 }) {
      if (again || curve.isWhole) curve = emptyCurve();
      curve.displacement.push(...displacement);
      curve.load.push(...load.map((each) => each * factor));
      curve.yLabel ||= unit ?? "";
      say();
      redraw();
    },
    path(path) {
      curve = wholeCurve(path, curve.share);
      say();
      redraw();
    },
    at(share) {
      curve.share = share;
      redraw();
    },
    forget() {
      cancelAnimationFrame(asked);
      sizes.disconnect();
      element.replaceChildren();
      element.classList.remove("load-curve");
    },
  };
}

function item(text, name) {
  const line = document.createElement("li");
  line.className = name;
  line.textContent = text.replaceAll("\n", " ");
  return line;
}

function emptyCurve() {
  return { displacement: [], load: [], xLabel: "", yLabel: "", share: null, isWhole: false, marks: [], breakLoad: 0, breakAt: 0, after: "" };
}

function wholeCurve(path, share) {
  const { displacement, load, x_label: xLabel = "", y_label: yLabel = "" } = path.curve;
  // The curve is in the units asked for, frames are in N.
  const breakLoad = path.curve.break_load ?? load[path.curve.break_at] ?? Math.max(...load);
  const breakAt = path.curve.break_at ?? load.findIndex((each) => each >= breakLoad * (1 - 1e-6));
  const marks = path.curve.marks ?? (path.marks ?? []).map(({ share: of, name, text }) => {
    const [x, y] = atShare({ displacement, load, breakLoad }, of);
    return { displacement: x, load: y, text: `${name} ${text}` };
  });
  const after = path.curve.after ?? "";
  return { displacement, load, xLabel, yLabel, share, isWhole: true, marks, breakLoad, breakAt, after };
}

/** The curve in words, for those who do not see it; its marks stand below as text. */
function described({ load, isWhole, xLabel, yLabel }) {
  if (!load.length) return WORDS.load;
  if (!isWhole) return WORDS.growing;
  return `${yLabel}, against ${xLabel}`;
}

function drawCurve(context, curve, width, height, letters) {
  context.clearRect(0, 0, width, height);
  const most = [Math.max(...curve.displacement, 1e-9), 1.3 * Math.max(...curve.load, 1e-9)];
  const [left, low, right, high] = [1.2 * letters + 10, height - 1.5 * letters - 6, width - 12, 10];
  const place = (x, y) => [left + (x / most[0]) * (right - left), low - (y / most[1]) * (low - high)];
  context.font = `${letters}px system-ui, sans-serif`;
  context.fillStyle = context.strokeStyle = INK;
  context.lineJoin = context.lineCap = "round";
  context.lineWidth = 1.5;
  stroke(context, [[left, high], [left, low], [right, low]]);
  writeAxes(context, curve, left, low, right, high, letters);
  if (!curve.load.length) return;
  context.strokeStyle = CURVE;
  context.lineWidth = 3;
  const places = curve.displacement.map((x, index) => place(x, curve.load[index]));
  const split = curve.isWhole ? curve.breakAt + 1 : places.length;
  stroke(context, places.slice(0, split));
  context.setLineDash([2, 6]); // what no stacked weight follows
  stroke(context, places.slice(Math.max(0, split - 1)));
  context.setLineDash([]);
  if (!curve.isWhole || curve.breakLoad <= 0) {
    dot(context, place(curve.displacement.at(-1), curve.load.at(-1)), 4, CURVE);
    return;
  }
  for (const mark of curve.marks) ring(context, place(mark.displacement, mark.load));
  writeNumbers(context, curve.marks.map((mark) => place(mark.displacement, mark.load)), letters);
  if (curve.share !== null) dot(context, place(...atShare(curve, curve.share)), 7, LOAD);
}

function writeAxes(context, { xLabel, yLabel }, left, low, right, high, letters) {
  context.textAlign = "right";
  context.textBaseline = "top";
  context.fillText(xLabel, right, low + 6, right - left);
  context.save();
  context.translate(left - 8, high);
  context.rotate(-Math.PI / 2);
  context.textBaseline = "bottom";
  context.fillText(yLabel, 0, 0, low - high);
  context.restore();
}

/** Numbers of the marks, above each, none over another; their words stand below the curve. */
function writeNumbers(context, places, letters) {
  const taken = [];
  context.textAlign = "center";
  context.textBaseline = "middle";
  context.lineWidth = 4;
  context.strokeStyle = "#ffffff";
  context.fillStyle = INK;
  places.forEach(([x, y], index) => {
    const middle = [x - 0.5 * letters, y - 0.8 * letters];
    while (taken.some(([otherX, otherY]) => Math.hypot(middle[0] - otherX, middle[1] - otherY) < 0.8 * letters)) {
      middle[0] += 0.85 * letters;
    }
    taken.push(middle);
    context.strokeText(String(index + 1), ...middle);
    context.fillText(String(index + 1), ...middle);
  });
}

/** Where the curve first reaches a share of the load at the break. */
function atShare({ displacement, load, breakLoad }, share) {
  const wanted = share * breakLoad;
  for (let index = 0; index < load.length; index += 1) {
    if (load[index] < wanted * (1 - 1e-6)) continue;
    if (index === 0 || load[index] === load[index - 1]) return [displacement[index], load[index]];
    const part = (wanted - load[index - 1]) / (load[index] - load[index - 1]);
    return [displacement[index - 1] + part * (displacement[index] - displacement[index - 1]), wanted];
  }
  const top = load.indexOf(Math.max(...load));
  return [displacement[top], load[top]];
}

function stroke(context, places) {
  context.beginPath();
  places.forEach(([x, y], index) => (index ? context.lineTo(x, y) : context.moveTo(x, y)));
  context.stroke();
}

function dot(context, [x, y], radius, colour) {
  context.beginPath();
  context.arc(x, y, radius, 0, 2 * Math.PI);
  context.fillStyle = colour;
  context.fill();
  context.strokeStyle = "#ffffff";
  context.lineWidth = 2;
  context.stroke();
}

function ring(context, [x, y]) {
  context.beginPath();
  context.arc(x, y, 5, 0, 2 * Math.PI);
  context.fillStyle = "#ffffff";
  context.fill();
  context.strokeStyle = INK;
  context.lineWidth = 2;
  context.stroke();
}
