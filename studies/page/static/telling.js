/** What stands at a place of the drawing, in words: texts come from the server, numbers are rounded. */

import { awayFrom, inside, trianglesAt } from "./shapes.js";

const SHOWS = { along: ["pulled along the grain", "pressed along the grain"],
  across: ["pulled across the grain", "pressed across the grain"],
  shear: ["shear along the grain", "shear along the grain, the other way"] };

/**
 * Tells what a place is and what it bears.
 * @param {object} scene - an unpacked scene or path
 * @param {string} look - strength, along, across, shear, carried
 * @param {number} x - mm
 * @param {number} y - mm
 * @param {number} reach - mm within which a line or a spot is meant
 * @returns {string} empty where nothing is
 */
export function tellLoaded(scene, look, x, y, reach) {
  const held = heldAt(scene, x, y, reach);
  if (look === "carried") return held ? tellCarried(scene, held) : pieceAt(scene, scene.places, scene.piece, x, y);
  if (look === "strength" && held && held.share !== null) return `${held.said}: ${percent(held.share)} of its strength`;
  const hits = trianglesAt(scene.places, x, y);
  if (!hits.length) return "";
  const { triangle, weights } = hits[hits.length - 1];
  const place = `${scene.pieces[scene.piece[triangle]]}, ${farFromCorner(scene, x, y)}`;
  const mixed = (numbers) => weights.reduce((sum, weight, corner) => sum + weight * numbers[3 * triangle + corner], 0);
  if (look === "strength") return `${place}: ${percent(mixed(scene.share))} of its strength`;
  const stress = mixed(scene[look]);
  return `${place}: ${rounded(Math.abs(stress))} ${scene.stress_unit}, ${SHOWS[look][stress < 0 ? 1 : 0]}`;
}

/**
 * Tells what a place of the corner under weight is, and how much of its toughness is spent.
 * @param {object} path - an unpacked path
 * @param {object} shown - `body`, `line` and `cheek` where they stand now in mm; `gone` of each line, `cheekGone`
 * @param {number} x
 * @param {number} y
 * @param {number} reach - mm
 */
export function tellWeighed(path, { body, line, gone, cheek, cheekGone }, x, y, reach) {
  const near = nearestStrip(line, x, y, reach);
  if (near >= 0) {
    const holds = path.line_hold ?? (path.glue_hold?.length === line.length / 4 ? path.glue_hold : null);
    const said = holds ? path.holds[holds[near]].said : "glue line";
    return `${said}: ${percent(gone[near])} of its toughness spent`;
  }
  const [hit] = path.cheek_hold ? trianglesAt(cheek, x, y) : [];
  if (hit) {
    const spent = hit.weights.reduce((sum, weight, corner) => sum + weight * cheekGone[3 * hit.triangle + corner], 0);
    return `${path.holds[path.cheek_hold[hit.triangle]].said}: ${percent(spent)} of its toughness spent`;
  }
  return pieceAt(path, body, path.body_piece, x, y);
}

/**
 * Names the predicted piece at a place.
 * @param {object} path
 * @param {number} x
 * @param {number} y
 */
export function tellBroken(path, x, y) {
  for (const { move, fills } of [...path.broken].reverse()) {
    const found = fills.find(({ outline }) => inside(outline, x - move[0], y - move[1]));
    if (found) return typeof found.piece === "number" ? path.pieces[found.piece] : found.piece;
  }
  return "";
}

/**
 * What is known of the share that a part carries: its own, that of the part it belongs to, or of its one end.
 * @param {object} scene
 * @param {{name: string, part: ?string}} held
 * @returns {?{name: string, share: number, text: string}} none where nothing is reckoned for it
 */
export function carriedBy({ carried = [] }, { name, part }) {
  const named = (wanted) => carried.find((one) => one.name === wanted);
  return named(name) ?? (part && named(part)) ?? carried.find((one) => one.name.startsWith(`${name} in `));
}

/**
 * A share as the page writes it.
 * @param {number} share
 */
export function percent(share) {
  return `${Math.round(100 * share)} %`;
}

/**
 * A number to two figures.
 * @param {number} value
 */
export function rounded(value) {
  return String(Number(value.toPrecision(2)));
}

function heldAt(scene, x, y, reach) {
  const hold = (number) => scene.holds?.[number] ?? { name: "", said: "" };
  const named = (number, share) => ({ ...hold(number), share });
  const spot = nearestSpot(scene.spots ?? [], x, y, reach);
  if (spot >= 0) return named(scene.spot_hold?.[spot], scene.spot_share[spot]);
  const strip = nearestStrip(scene.glue, x, y, reach);
  if (strip >= 0) return named(scene.glue_hold[strip], scene.glue_share[strip]);
  const rod = (scene.rods ?? []).find(({ outline }) => inside(outline, x, y));
  if (!rod) return cheekAt(scene, x, y);
  return { name: rod.name, said: rod.said ?? rod.name, share: rod.share ?? 0 };
}

/** A glued area tells nothing but its name: its share of strength is that of the wood on it. */
function cheekAt(scene, x, y) {
  const [hit] = scene.cheek_hold ? trianglesAt(scene.cheek, x, y) : [];
  return hit ? { ...scene.holds[scene.cheek_hold[hit.triangle]], share: null } : null;
}

function tellCarried(scene, held) {
  const found = carriedBy(scene, held);
  return found ? `${held.said}: ${found.text}` : held.said;
}

function pieceAt(scene, places, pieces, x, y) {
  const hits = trianglesAt(places, x, y);
  if (!hits.length) return "";
  return `${scene.pieces[pieces[hits[hits.length - 1].triangle]]}, ${farFromCorner(scene, x, y)}`;
}

function farFromCorner(scene, x, y) {
  const far = Math.hypot(x, y) * (scene.length_factor ?? 1);
  const unit = scene.length_unit ?? "mm";
  return `${unit === "mm" ? Math.round(far) : Math.round(10 * far) / 10} ${unit} from the corner`;
}

function nearestStrip(strips, x, y, reach) {
  let [found, least] = [-1, reach];
  for (let start = 0; start < (strips?.length ?? 0); start += 4) {
    const away = awayFrom(x, y, strips[start], strips[start + 1], strips[start + 2], strips[start + 3]);
    if (away < least) [found, least] = [start / 4, away];
  }
  return found;
}

function nearestSpot(spots, x, y, reach) {
  let [found, least] = [-1, reach];
  for (let start = 0; start < spots.length; start += 2) {
    const away = Math.hypot(x - spots[start], y - spots[start + 1]);
    if (away < least) [found, least] = [start / 2, away];
  }
  return found;
}
