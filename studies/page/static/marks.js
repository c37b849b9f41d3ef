/** What stands over the painted corner, on a plain canvas: arrows for P, supports, the ring, the crosshair. */

import { INK, LOAD } from "./colours.js";

const ARROW = 0.2; // of a leg, as all pictures of a corner have it
const LEAST_ARROW = 34; // pixels
const HALO = "#ffffff";

/**
 * Draws the load of a corner: an arrow and a P for each place it is pushed or pulled, and what it stands on.
 * @param {CanvasRenderingContext2D} context - its unit is a pixel of the page
 * @param {object} scene - with arrows, supports and edges
 * @param {function(number, number): number[]} toScreen - pixels from the upper left of a place in mm
 * @param {number} letters - size of the letters in pixels
 */
export function drawLoad(context, scene, toScreen, letters) {
  const leg = legOf(scene, toScreen);
  (scene.arrows ?? []).forEach((arrow) => drawArrow(context, arrow, toScreen, leg, letters));
  (scene.supports ?? []).forEach((support) => drawSupport(context, support, toScreen, leg, scene.depth, letters));
}

/**
 * Rings a place: ink between two rims of white, to be seen on pale and strong alike.
 * @param {CanvasRenderingContext2D} context
 * @param {number[]} place - pixels
 * @param {number} radius - pixels
 */
export function drawRing(context, [x, y], radius) {
  for (const [colour, width] of [[HALO, radius / 2.2], [INK, radius / 5.5]]) {
    context.beginPath();
    context.arc(x, y, radius, 0, 2 * Math.PI);
    context.strokeStyle = colour;
    context.lineWidth = Math.max(colour === INK ? 2.5 : 6, width);
    context.stroke();
  }
}

/**
 * A cross at a place, for those who move it by keys.
 * @param {CanvasRenderingContext2D} context
 * @param {number[]} place - pixels
 */
export function drawCrosshair(context, [x, y]) {
  for (const [colour, width] of [[HALO, 5], [LOAD, 2]]) {
    context.beginPath();
    for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
      context.moveTo(x + 5 * dx, y + 5 * dy);
      context.lineTo(x + 18 * dx, y + 18 * dy);
    }
    context.strokeStyle = colour;
    context.lineWidth = width;
    context.stroke();
  }
}

/**
 * The whole corner with its load, small, where a close view is empty.
 * @param {CanvasRenderingContext2D} context
 * @param {object} scene
 * @param {function(number, number): number[]} toScreen
 * @param {number} letters
 */
export function drawSmall(context, scene, toScreen, letters) {
  context.beginPath();
  for (let start = 0; start < scene.edges.length; start += 4) {
    context.moveTo(...toScreen(scene.edges[start], scene.edges[start + 1]));
    context.lineTo(...toScreen(scene.edges[start + 2], scene.edges[start + 3]));
  }
  context.strokeStyle = INK;
  context.lineWidth = 1.2;
  context.stroke();
  drawLoad(context, scene, toScreen, letters);
}

/** A leg in pixels: the corner reaches from its outside corner, the origin, to the tips of both legs. */
function legOf({ edges }, toScreen) {
  const leg = edges.reduce((most, number) => Math.max(most, number), 1);
  return toScreen(leg, 0)[0] - toScreen(0, 0)[0];
}

function drawArrow(context, { at, toward, pulls }, toScreen, leg, letters) {
  const [x, y] = toScreen(...at);
  const far = Math.hypot(...toward) || 1;
  const [dx, dy] = [toward[0] / far, -toward[1] / far]; // downwards on the screen
  const long = Math.max(LEAST_ARROW, ARROW * leg);
  const out = pulls ? 1 : -1; // the arrow lies outside the corner
  const near = [x + 4 * out * dx, y + 4 * out * dy];
  const end = [x + out * long * dx, y + out * long * dy];
  const [tail, tip] = pulls ? [near, end] : [end, near];
  const thick = Math.max(3, letters / 4.5);
  const head = [1.2 * letters * 0.75, 0.8 * letters * 0.5];
  const neck = [tip[0] - head[0] * dx, tip[1] - head[0] * dy];
  for (const [colour, more] of [[HALO, 4], [LOAD, 0]]) {
    context.strokeStyle = context.fillStyle = colour;
    context.lineJoin = "round";
    context.lineWidth = thick + more;
    context.beginPath();
    context.moveTo(...tail);
    context.lineTo(...neck);
    context.stroke();
    context.lineWidth = more || 1;
    context.beginPath();
    context.moveTo(...tip);
    context.lineTo(neck[0] - head[1] * dy, neck[1] + head[1] * dx);
    context.lineTo(neck[0] + head[1] * dy, neck[1] - head[1] * dx);
    context.closePath();
    context.fill();
    context.stroke();
  }
  const beyond = long + 0.75 * letters;
  write(context, "P", x + out * beyond * dx, y + out * beyond * dy, 1.15 * letters);
}

function write(context, text, x, y, size) {
  context.font = `700 ${size}px system-ui, sans-serif`;
  context.textAlign = "center";
  context.textBaseline = "middle";
  context.lineJoin = "round";
  context.lineWidth = 5;
  context.strokeStyle = HALO;
  context.strokeText(text, x, y);
  context.fillStyle = LOAD;
  context.fillText(text, x, y);
}

/** A wedge whose tip the corner stands on, or the jaw of a clamp; the ground is hatched. */
function drawSupport(context, { at, outward, clamps }, toScreen, leg, depth, letters) {
  const thick = Math.max(1, letters / 16);
  const [x, y] = toScreen(...at);
  const far = Math.hypot(...outward) || 1;
  const [dx, dy] = [outward[0] / far, -outward[1] / far];
  const pixels = toScreen(depth, 0)[0] - toScreen(0, 0)[0];
  const wide = clamps ? Math.max(0.1 * leg, 0.62 * pixels, 16) : Math.max(0.1 * leg, 16);
  const back = clamps ? 0 : Math.max(0.11 * leg, 16);
  const from = (along, aside) => [x + along * dx - aside * dy, y + along * dy + aside * dx];
  context.strokeStyle = LOAD;
  context.fillStyle = HALO;
  context.lineJoin = "round";
  context.lineWidth = 2 * thick;
  if (!clamps) {
    context.beginPath();
    context.moveTo(x, y);
    context.lineTo(...from(back, 0.7 * wide));
    context.lineTo(...from(back, -0.7 * wide));
    context.closePath();
    context.fill();
    context.stroke();
  }
  const deep = Math.max(0.05 * leg, 8);
  context.lineWidth = 1.5 * thick;
  context.beginPath();
  for (let aside = -wide; aside + deep <= wide + 1; aside += 7 * thick) {
    context.moveTo(...from(back, aside));
    context.lineTo(...from(back + deep, aside + deep));
  }
  context.stroke();
  context.lineWidth = 3 * thick;
  context.beginPath();
  context.moveTo(...from(back, wide));
  context.lineTo(...from(back, -wide));
  context.stroke();
}
