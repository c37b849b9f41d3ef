/** For tests while there is no other: a message's header and arrays. */

/** @param {ArrayBuffer} buffer @returns {object} */
export function unpack(buffer) {
  const size = new DataView(buffer).getUint32(0, true);
  const { arrays, ...header } = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, size)));
  let start = 4 + size;
  for (const { name, type, shape } of arrays) {
    const count = shape.reduce((all, each) => all * each, 1);
    header[name] = new { f4: Float32Array, u4: Uint32Array }[type](buffer, start, count);
    start += 4 * count;
  }
  return header;
}
