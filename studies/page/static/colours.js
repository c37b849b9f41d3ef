/** Colours of the drawing: fixed ones, tables by share, and the slate that stands against the scale's own hue. */

export const INK = "#222222";
export const LOAD = "#0b4f6c";
export const GRAIN = "#8f6d3a";
export const FIBRES = "#7a3b10";
export const WOODS = ["#f3e3c3", "#e7d0a5", "#d9a777", "#c99f84", "#e0c9b1", "#b98d62"];

const SLATE = (255 * Math.PI) / 180; // hue of what is pressed
const LESS = 34 / 54; // as much colour as a screen has along slate, to what it has along madder
const WHITE = [0.95047, 1.0, 1.08883];
const TO_SCREEN = [
  [3.2404542, -1.5371385, -0.4985314],
  [-0.969266, 1.8760108, 0.041556],
  [0.0556434, -0.2040259, 1.0572252],
];
const FROM_SCREEN = [
  [0.4124564, 0.3575761, 0.1804375],
  [0.2126729, 0.7151522, 0.072175],
  [0.0193339, 0.119192, 0.9503041],
];

/**
 * Three numbers from 0 to 1 of a colour written as #rrggbb.
 * @param {string} text
 * @returns {number[]}
 */
export function parts(text) {
  return [1, 3, 5].map((start) => parseInt(text.slice(start, start + 2), 16) / 255);
}

/**
 * A table of colours as bytes, four a colour.
 * @param {number[][]} colours - [red, green, blue] from 0 to 255, or all from 0 to 1
 * @returns {Uint8Array} 4 bytes a colour
 */
export function table(colours) {
  const most = Math.max(...colours.flat());
  const factor = most <= 1 ? 255 : 1;
  const bytes = new Uint8Array(4 * colours.length);
  colours.forEach((colour, index) => {
    bytes.set([...colour.slice(0, 3).map((part) => Math.round(part * factor)), 255], 4 * index);
  });
  return bytes;
}

/**
 * The table for what has a sign: slate for pressed, pale at none, the scale's own hue for pulled.
 * @param {Uint8Array} strength - table of the scale of strength
 * @param {number[][]} [signed] - the pressed half from pale to strong, or all from pressed to pulled
 * @returns {Uint8Array} table, its middle at none
 */
export function signedTable(strength, signed) {
  if (signed) {
    const given = table(signed);
    const middle = 4 * Math.floor(signed.length / 2);
    if (given[0] + given[1] + given[2] < given[middle] + given[middle + 1] + given[middle + 2]) return given;
    return joined(given, strength);
  }
  return joined(counterpart(strength), strength);
}

/** The table of woods: entry i is the wood of piece i, the last one white, for fasteners. */
export function woodTable() {
  const order = Array.from({ length: 256 }, (_, piece) => WOODS[piece < 2 ? piece : 2 + ((piece - 2) % 4)]);
  order[255] = "#ffffff";
  return table(order.map((colour) => parts(colour).map((part) => 255 * part)));
}

/**
 * A colour of a table as a style names it.
 * @param {Uint8Array} bytes - table
 * @param {number} share - 0 to 1
 */
export function colourAt(bytes, share) {
  const last = bytes.length / 4 - 1;
  const start = 4 * Math.round(Math.min(1, Math.max(0, share)) * last);
  return `rgb(${bytes[start]} ${bytes[start + 1]} ${bytes[start + 2]})`;
}

function joined(pressed, pulled) {
  const count = pressed.length / 4;
  const bytes = new Uint8Array(pressed.length + pulled.length - 4);
  for (let index = 0; index < count; index += 1) {
    bytes.set(pressed.subarray(4 * (count - 1 - index), 4 * (count - index)), 4 * index);
  }
  bytes.set(pulled.subarray(4), pressed.length);
  return bytes;
}

/** Every colour as light as before, but slate. */
function counterpart(bytes) {
  const other = new Uint8Array(bytes.length);
  for (let start = 0; start < bytes.length; start += 4) {
    const [light, a, b] = lab([...bytes.subarray(start, start + 3)].map((part) => part / 255));
    const chroma = Math.hypot(a, b);
    const much = chroma < 6 ? chroma : 6 + (chroma - 6) * LESS;
    const screen = fromLab([light, much * Math.cos(SLATE), much * Math.sin(SLATE)]);
    other.set([...screen.map((part) => Math.round(255 * part)), 255], start);
  }
  return other;
}

function times(matrix, vector) {
  return matrix.map((row) => row[0] * vector[0] + row[1] * vector[1] + row[2] * vector[2]);
}

/** CIE 1976 L*a*b* of a colour of a screen. */
function lab(screen) {
  const linear = screen.map((part) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4));
  const [x, y, z] = times(FROM_SCREEN, linear).map((part, index) => {
    const light = part / WHITE[index];
    return light > (6 / 29) ** 3 ? Math.cbrt(light) : light / (3 * (6 / 29) ** 2) + 4 / 29;
  });
  return [116 * y - 16, 500 * (x - y), 200 * (y - z)];
}

function fromLab([lightness, a, b]) {
  const middle = (lightness + 16) / 116;
  const light = [middle + a / 500, middle, middle - b / 200].map((root, index) => {
    return (root > 6 / 29 ? root ** 3 : 3 * (6 / 29) ** 2 * (root - 4 / 29)) * WHITE[index];
  });
  return times(TO_SCREEN, light).map((part) => {
    const linear = Math.min(1, Math.max(0, part));
    return linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055;
  });
}
