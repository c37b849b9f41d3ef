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
