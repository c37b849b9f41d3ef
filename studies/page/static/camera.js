/** Where millimetres of the corner stand on the screen: `scale` pixels a mm, origin at `x`, `y`, y upwards. */

/**
 * The camera that shows a box in the middle of a stage.
 * @param {{low: number[], high: number[]}} box - mm
 * @param {number} width - of the stage in pixels
 * @param {number} height
 * @param {number} margin - pixels left free all round
 * @returns {{scale: number, x: number, y: number}}
 */
export function fitted({ low, high }, width, height, margin) {
  const wide = Math.max(high[0] - low[0], 1e-6);
  const tall = Math.max(high[1] - low[1], 1e-6);
  const scale = Math.max(Math.min((width - 2 * margin) / wide, (height - 2 * margin) / tall), 1e-6);
  return {
    scale,
    x: width / 2 - (scale * (low[0] + high[0])) / 2,
    y: height / 2 - (scale * (low[1] + high[1])) / 2,
  };
}

const BESIDE = 0.2; // of a leg: how far arrows and supports stand out

/**
 * The box of a loaded corner with its arrows and supports.
 * @param {object} scene - edges, arrows, supports
 * @returns {{low: number[], high: number[]}} mm
 */
export function loadedBox({ edges, arrows = [], supports = [] }) {
  const box = boxOf(edges);
  const reach = BESIDE * Math.max(box.high[0], box.high[1]);
  const beyond = ([x, y], [dx, dy], far) => [x + far * dx, y + far * dy];
  const ends = [
    ...arrows.map(({ at, toward, pulls }) => beyond(at, toward, pulls ? reach : -reach)),
    ...supports.map(({ at, outward }) => beyond(at, outward, 0.8 * reach)),
  ];
  return together(box, boxOf(ends.flat()));
}

/**
 * The box of a corner in all its frames.
 * @param {object} path - body_edges, body_edges_moved, magnification
 * @returns {{low: number[], high: number[]}} mm, as drawn
 */
export function movedBox({ body_edges: rest, body_edges_moved: moved, magnification }) {
  return boxOf(moved.map((by, index) => rest[index % rest.length] + magnification * by));
}

/**
 * The box of the pieces of a broken corner, parted.
 * @param {{move: number[], fills: {outline: number[][]}[]}[]} broken
 * @returns {{low: number[], high: number[]}} mm
 */
export function partedBox(broken) {
  return boxOf(broken.flatMap(({ move, fills }) => fills.flatMap(({ outline }) => outline
    .flatMap(([x, y]) => [x + move[0], y + move[1]]))));
}

/**
 * The least box round two.
 * @returns {{low: number[], high: number[]}}
 */
export function together(one, other) {
  return {
    low: one.low.map((low, side) => Math.min(low, other.low[side])),
    high: one.high.map((high, side) => Math.max(high, other.high[side])),
  };
}

/**
 * A box on the way from one to another.
 * @param {number} share - 0 at the first
 */
export function between(one, other, share) {
  const mix = (name) => one[name].map((from, side) => from + share * (other[name][side] - from));
  return { low: mix("low"), high: mix("high") };
}

/** The box of numbers that are x, y, x, y. */
function boxOf(numbers) {
  const box = { low: [Infinity, Infinity], high: [-Infinity, -Infinity] };
  numbers.forEach((number, index) => {
    const side = index % 2;
    if (number < box.low[side]) box.low[side] = number;
    if (number > box.high[side]) box.high[side] = number;
  });
  return box;
}

/**
 * A camera after a closer look at a part of its picture.
 * @param {{scale: number, x: number, y: number}} camera
 * @param {{factor: number, x: number, y: number}} look - how many times closer, moved by how many pixels
 */
export function closer(camera, look) {
  return {
    scale: camera.scale * look.factor,
    x: camera.x * look.factor + look.x,
    y: camera.y * look.factor + look.y,
  };
}

/**
 * A look that never leaves the picture.
 * @param {{factor: number, x: number, y: number}} look
 * @param {number} width
 * @param {number} height
 */
export function kept(look, width, height) {
  const factor = Math.min(40, Math.max(1, look.factor));
  return {
    factor,
    x: Math.min(0, Math.max(width * (1 - factor), look.x)),
    y: Math.min(0, Math.max(height * (1 - factor), look.y)),
  };
}

/**
 * A look `times` closer that leaves the place under (x, y), pixels from the lower left, where it is.
 * @returns {{factor: number, x: number, y: number}}
 */
export function toward(look, times, x, y) {
  const factor = Math.min(40, Math.max(1, look.factor * times));
  const ratio = factor / look.factor;
  return { factor, x: x - (x - look.x) * ratio, y: y - (y - look.y) * ratio };
}
