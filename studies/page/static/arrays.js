/** Messages with arrays, as the server packs them: length of a header, the header in JSON, then the numbers. */

const KINDS = { f4: Float32Array, u4: Uint32Array };

/**
 * Takes a message apart. Arrays are views of the message: nothing is copied.
 * @param {ArrayBuffer} buffer - a whole binary message
 * @returns {object} what the header says, each array by its name, and `shapes` with the shape of each
 * @throws {RangeError} where the message is cut off
 */
export function unpack(buffer) {
  const size = new DataView(buffer).getUint32(0, true);
  const header = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, size)));
  const { arrays = [], ...said } = header;
  const shapes = {};
  let start = 4 + size;
  for (const { name, type, shape } of arrays) {
    const count = shape.reduce((product, each) => product * each, 1);
    said[name] = new KINDS[type](buffer, start, count);
    shapes[name] = shape;
    start += 4 * count;
  }
  return { ...said, shapes };
}
