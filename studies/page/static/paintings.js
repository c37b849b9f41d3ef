/** What is painted for each look, from the back to the front, and the legend that goes with it. */

import { FIBRES, GRAIN, INK, parts } from "./colours.js";
import { rounded } from "./telling.js";

const ink = [...parts(INK), 1];
const white = [1, 1, 1, 1];
const grain = [...parts(GRAIN), 0.6];
const faintGrain = [...parts(INK), 0.2];
const fibres = [...parts(FIBRES), 1];
const tornWood = [...parts("#ecd2b0"), 1];
const RIM = 1.7; // pixels of dark rim on each side of a strip

/** Words of the scale where the server gave none. */
export const LEGEND = ["0 %\nhealthy", "25 %", "50 %", "75 %", "100 %\ngives"];
export const GONE_LEGEND = ["0 %\nwhole", "25 %", "50 %", "75 %", "100 %\ngone"];
const TITLES = {
  strength: "share of strength in use",
  weight: "toughness of the glue spent",
  along: "stress along the grain",
  across: "stress across the grain",
  shear: "shear stress along the grain",
  carried: "share of the load carried",
};
const FACES = { bare: "bare glued face", torn: "glued face with torn fibres" };
const SIGNS = { along: ["pressed", "pulled"], across: ["pressed", "pulled"], shear: ["one way", "the other"] };

/**
 * Items to paint for a loaded corner.
 * @param {string} look - strength, along, across, shear, carried
 * @param {number} glueWidth - pixels
 * @param {number} limit - stress at the ends of the scale
 */
export function loadedItems(look, glueWidth, limit) {
  const lines = [{ layer: "grain", colour: faintGrain, width: 1 }, { layer: "edges", colour: ink, width: 1.8 }];
  if (look === "strength") {
    return [
      { layer: "wood", table: "strength" }, ...lines,
      ...strips("splits", 0.6 * glueWidth), ...rods("rods"), ...strips("glue", glueWidth), ...dots("spots", glueWidth),
    ];
  }
  if (look === "carried") {
    return [
      { layer: "plainWood", table: "wood" }, { layer: "cheekCarried", table: "strength" }, ...lines,
      ...rods("rodsCarried"), ...strips("glueCarried", glueWidth), ...dots("spotsCarried", glueWidth),
    ];
  }
  return [
    { layer: look, table: "signed", low: -limit, high: limit }, ...lines,
    { layer: "rodEdges", colour: ink, width: 1.4 }, { layer: "glue", colour: ink, width: 2.4 },
  ];
}

/**
 * Items to paint for a corner under weight, or as it lets go.
 * @param {number} glueWidth - pixels
 * @param {boolean} parting - whether the pieces have begun to part
 */
export function weighedItems(glueWidth, parting) {
  return [
    { layer: "body", table: "wood" }, { layer: "bentGrain", colour: grain, width: 1 },
    ...(parting ? [] : [{ layer: "cheek", table: "strength" }]),
    { layer: "bodyEdges", colour: ink, width: 1.8 },
    { layer: "bentRods", colour: white }, { layer: "bentRodEdges", colour: ink, width: 1.6 },
    ...(parting ? [] : [...strips("line", glueWidth), ...dots("bentSpots", glueWidth)]),
  ];
}

/**
 * Items to paint for the pieces that are left.
 * @param {number} glueWidth - pixels
 */
export function brokenItems(glueWidth) {
  const face = (layer, colour) => [
    { layer, colour: ink, width: 0.7 * glueWidth + 2 * RIM, longer: RIM }, { layer, colour, width: 0.7 * glueWidth },
  ];
  return [
    { layer: "fills", table: "wood" }, { layer: "bentGrain", colour: grain, width: 1 },
    { layer: "bareAreas", colour: white }, { layer: "tornAreas", colour: tornWood },
    { layer: "brokenLines", colour: ink, width: 2 },
    ...face("bareLines", white), ...face("tornLines", tornWood), { layer: "fibres", colour: fibres, width: 1.6 },
  ];
}

/**
 * The legend of a look.
 * @param {string} look
 * @param {object} given - tables, legend, goneLegend, limit, unit, stress: {title, low, high} as the server has it
 */
export function legendOf(look, { tables, legend, goneLegend, limit, unit, stress }) {
  if (look in SIGNS) {
    const [low, high] = SIGNS[look].map((own, end) => (stress ? [stress.low, stress.high][end].split(":")[0] : own));
    const number = rounded(limit);
    const ticks = [
      { at: 0, text: `−${number} ${unit}\n${low}` }, { at: 0.25, text: `−${rounded(limit / 2)}` },
      { at: 0.5, text: "0" },
      { at: 0.75, text: `+${rounded(limit / 2)}` }, { at: 1, text: `+${number} ${unit}\n${high}` },
    ];
    return { table: tables.signed, title: stress?.title ?? TITLES[look], ticks };
  }
  const words = look === "weight" ? goneLegend : look === "carried" ? legend.map((text) => text.split("\n")[0]) : legend;
  const ticks = words.map((text, index) => ({ at: index / (words.length - 1), text }));
  return { table: tables.strength, title: TITLES[look], ticks };
}

/**
 * The legend of a broken corner: what its glued faces look like.
 * @param {object[]} broken - clusters of pieces
 * @returns {object} as `legendOf`, with swatches in place of a scale
 */
export function brokenLegend(broken) {
  const faces = broken.flatMap((cluster) => cluster.faces ?? []);
  const kinds = [["bare", faces.some(({ torn }) => !torn)], ["torn", faces.some(({ torn }) => torn)]];
  const swatches = kinds.filter(([, is]) => is).map(([kind]) => ({ kind, text: FACES[kind] }));
  return { title: "predicted pieces", swatches };
}

/**
 * Where the scale of a stress ends: all but the sharpest peaks lie within, on a round number.
 * @param {Float32Array} values
 * @param {number} [given] - the end where the server has found one
 */
export function stressLimit(values, given) {
  const sizes = given ? [] : values.map(Math.abs).sort();
  const most = given || sizes[Math.floor(0.98 * (sizes.length - 1))] || 1;
  const power = 10 ** Math.floor(Math.log10(most));
  return power * [1, 1.5, 2, 3, 4, 5, 6, 8, 10].find((step) => step * power >= 0.999 * most);
}

function strips(layer, width) {
  return [{ layer, colour: ink, width: width + 2 * RIM, longer: RIM }, { layer, table: "strength", width }];
}

function dots(layer, width) {
  return [
    { layer, colour: ink, width: 0.5 * width + RIM },
    { layer, table: "strength", width: 0.5 * width },
  ];
}

function rods(layer) {
  return [{ layer, table: "strength" }, { layer: "rodEdges", colour: ink, width: 1.6 }];
}
