/** What the painters are handed: layers of triangles, strips and dots, made from the arrays of a message. */

import { carriedBy } from "./telling.js";
import { awayFrom, inside, loops, triangles, trianglesAt } from "./shapes.js";

/**
 * A layer of a kind.
 * @param {"faces"|"strips"|"dots"} kind
 * @param {Float32Array} places - x, y of each corner or dot; both ends of each strip
 * @param {object} [more] - `moved` (one block a frame), `values` (one block, or one a frame), `apart` (x, y each)
 */
export function layer(kind, places, more = {}) {
  return { kind, places, moved: null, values: null, apart: null, count: places.length / (kind === "strips" ? 4 : 2), ...more };
}

/**
 * Layers of a loaded corner.
 * @param {object} scene - an unpacked scene (or path, which has all of it)
 * @returns {object} layers by name
 */
export function sceneLayers(scene) {
  const { faces, shares, carries, outlines } = rodsOf(scene);
  return {
    wood: layer("faces", scene.places, { values: scene.share }),
    plainWood: layer("faces", scene.places, { values: woods(scene.piece, 3) }),
    along: layer("faces", scene.places, { values: scene.along }),
    across: layer("faces", scene.places, { values: scene.across }),
    shear: layer("faces", scene.places, { values: scene.shear }),
    grain: layer("strips", scene.grain),
    edges: layer("strips", scene.edges),
    splits: layer("strips", scene.splits ?? new Float32Array(), { values: scene.split_share }),
    glue: layer("strips", scene.glue, { values: scene.glue_share }),
    glueCarried: carriedLayer(scene, "strips", scene.glue, scene.glue_hold, 4),
    spots: layer("dots", scene.spots ?? new Float32Array(), { values: scene.spot_share }),
    cheekCarried: carriedLayer(scene, "faces", scene.cheek, scene.cheek_hold, 6),
    spotsCarried: carriedLayer(scene, "dots", scene.spots, scene.spot_hold, 2),
    rods: layer("faces", faces, { values: shares }),
    rodsCarried: layer("faces", faces, { values: carries }),
    rodEdges: layer("strips", outlines),
  };
}

/**
 * Layers of a corner along its path, each with how far it moves in each frame, and how far it is thrown at the break.
 * @param {object} path - an unpacked path
 * @returns {object} layers by name
 */
export function pathLayers(path) {
  const thrown = path.broken ? thrownBodies(path) : null;
  const follow = thrown ? (segments, moved) => followWood(path, thrown, segments, moved) : () => null;
  const rods = filledRods(path, thrown);
  return {
    body: layer("faces", path.body, { moved: path.body_moved, values: woods(path.body_piece, 3), apart: thrown }),
    bodyEdges: layer("strips", path.body_edges, {
      moved: path.body_edges_moved,
      apart: follow(path.body_edges, path.body_edges_moved),
    }),
    bentGrain: layer("strips", path.grain, { moved: path.grain_moved, apart: follow(path.grain, path.grain_moved) }),
    cheek: layer("faces", path.cheek ?? new Float32Array(), { moved: path.cheek_moved, values: path.cheek_gone }),
    line: layer("strips", path.line ?? new Float32Array(), { moved: path.line_moved, values: path.line_gone }),
    bentSpots: layer("dots", path.spots ?? new Float32Array(), { moved: path.spot_moved, values: path.spot_gone }),
    bentRods: rods.faces,
    bentRodEdges: rods.edges,
  };
}

/**
 * Layers of the pieces that a corner falls into, each moved away.
 * @param {object} path - an unpacked path
 * @returns {object} layers by name, none where it holds
 */
export function brokenLayers(path) {
  if (!path.broken) return {};
  const size = path.depth / 19; // of a stroke in mm, on wood as thick as most
  const fills = gathered();
  const bare = gathered();
  const torn = gathered();
  const [lines, bareLines, tornLines, fibres] = [gathered(), gathered(), gathered(), gathered()];
  for (const cluster of path.broken) {
    for (const { piece, outline } of cluster.fills) fills.face(outline, cluster.move, woodOf(path, piece));
    for (const line of cluster.lines ?? []) lines.line(line, cluster.move);
    for (const face of cluster.faces ?? []) {
      if (face.area) {
        (face.torn ? torn : bare).face(face.area, cluster.move, 0);
        lines.line([...face.area, face.area[0]], cluster.move);
        if (face.torn) fibresIn(face.area, size).forEach((stroke) => fibres.line(stroke, cluster.move));
      } else if (face.line) {
        (face.torn ? tornLines : bareLines).line(face.line, cluster.move);
        if (face.torn) fibresAlong(face.line, size).forEach((stroke) => fibres.line(stroke, cluster.move));
      }
    }
  }
  return {
    fills: fills.layer("faces", true),
    bareAreas: bare.layer("faces"),
    tornAreas: torn.layer("faces"),
    brokenLines: lines.layer("strips"),
    bareLines: bareLines.layer("strips"),
    tornLines: tornLines.layer("strips"),
    fibres: fibres.layer("strips"),
  };
}

/** The number of a piece's wood, as a share of the table of woods; a piece is a name or a number. */
function woodOf(path, piece) {
  const index = typeof piece === "number" ? piece : path.pieces.indexOf(piece);
  return (index < 0 ? INSERT : index % 256) / 255;
}

const INSERT = 255; // a fastener that is no piece of the joint, white in the table of woods

/** Strips, dots or triangles by the share that their part carries; without those of which none is known. */
function carriedLayer(scene, kind, places, holds, numbers) {
  const [kept, values] = [[], []];
  (holds ?? []).forEach((hold, index) => {
    const found = carriedBy(scene, scene.holds[hold] ?? {});
    if (!found) return;
    kept.push(...places.subarray(numbers * index, numbers * (index + 1)));
    for (let corner = 0; corner < (kind === "faces" ? 3 : 1); corner += 1) values.push(Math.abs(found.share));
  });
  return layer(kind, new Float32Array(kept), { values: new Float32Array(values) });
}

function woods(pieces, corners) {
  const values = new Float32Array(corners * pieces.length);
  pieces.forEach((piece, index) => values.fill((piece % 256) / 255, corners * index, corners * (index + 1)));
  return values;
}

/** A list to which outlines and lines are added, each with how far it is moved. */
function gathered() {
  const [places, apart, values] = [[], [], []];
  return {
    face(outline, move, value) {
      for (const index of triangles(outline)) {
        places.push(...outline[index]);
        apart.push(...move);
        values.push(value);
      }
    },
    line(line, move) {
      for (let index = 1; index < line.length; index += 1) {
        places.push(...line[index - 1], ...line[index]);
        apart.push(...move);
      }
    },
    layer(kind, valued = false) {
      const more = { apart: new Float32Array(apart), values: valued ? new Float32Array(values) : null };
      return layer(kind, new Float32Array(places), more);
    },
  };
}

function rodsOf(scene) {
  const [faces, shares, carries, outlines] = [[], [], [], []];
  for (const rod of scene.rods ?? []) {
    const { outline } = rod;
    const carried = Math.abs(carriedBy(scene, rod)?.share ?? 0);
    for (const { place, share } of rodCorners(rod)) {
      faces.push(...place);
      shares.push(share);
      carries.push(carried);
    }
    outline.forEach((place, index) => outlines.push(...place, ...outline[(index + 1) % outline.length]));
  }
  const [first, second, third, fourth] = [faces, shares, carries, outlines].map((list) => new Float32Array(list));
  return { faces: first, shares: second, carries: third, outlines: fourth };
}

/** Corners of the triangles that fill a rod, each with its share: along the rod where that is known. */
function rodCorners({ outline, share = 0, shares = [], sides = [] }) {
  if (!shares.length || shares.length !== sides.length) {
    return triangles(outline).map((index) => ({ place: outline[index], share }));
  }
  return sides.slice(1).flatMap(([left, right], index) => {
    const [before, after] = [shares[index], shares[index + 1]];
    const [startLeft, startRight] = sides[index];
    const near = [startLeft, startRight].map((place) => ({ place, share: before }));
    const far = [left, right].map((place) => ({ place, share: after }));
    return [near[0], near[1], far[0], near[1], far[1], far[0]];
  });
}

/** Rods of a path: closed outlines are filled, and move as their corners do. */
function filledRods(path, thrown) {
  const segments = path.rod ?? new Float32Array();
  const frames = segments.length && path.rod_moved ? path.rod_moved.length / segments.length : 0;
  const corners = []; // the segment of each corner of a filling triangle
  const edgesApart = thrown ? new Float32Array(segments.length / 2) : null;
  for (const loop of loops(segments)) {
    const outline = loop.map((index) => [segments[4 * index], segments[4 * index + 1]]);
    stripCorners(loop.length).forEach((corner) => corners.push(loop[corner]));
    if (thrown) loop.forEach((index) => edgesApart.set(moveOfRod(path, thrown, outline), 2 * index));
  }
  const start = (numbers, offset) => corners.flatMap((index) => [numbers[offset + 4 * index], numbers[offset + 4 * index + 1]]);
  const moved = [];
  for (let frame = 0; frame < frames; frame += 1) moved.push(...start(path.rod_moved, frame * segments.length));
  const apart = thrown ? new Float32Array(corners.flatMap((index) => [edgesApart[2 * index], edgesApart[2 * index + 1]])) : null;
  return {
    faces: layer("faces", new Float32Array(start(segments, 0)), { moved: frames ? new Float32Array(moved) : null, apart }),
    edges: layer("strips", segments, { moved: frames ? path.rod_moved : null, apart: edgesApart }),
  };
}

/** Triangles between the two sides of a rod, which its outline runs along and back: they stay whole as it bends. */
function stripCorners(count) {
  return Array.from({ length: Math.floor(count / 2) - 1 }, (_, index) => {
    const [left, next, right, nextRight] = [index, index + 1, count - 1 - index, count - 2 - index];
    return [left, next, right, next, nextRight, right];
  }).flat();
}

function moveOfRod(path, thrown, outline) {
  const [x, y] = [0, 1].map((side) => outline.reduce((sum, place) => sum + place[side], 0) / outline.length);
  const names = new Set((path.rods ?? []).map(({ name }) => name));
  for (const { move, fills } of path.broken) {
    if (fills.some((fill) => names.has(fill.piece) && inside(fill.outline, x, y))) return move;
  }
  const [hit] = trianglesAt(path.body, x, y);
  return hit ? [thrown[6 * hit.triangle], thrown[6 * hit.triangle + 1]] : [0, 0];
}

/** How far each corner of the wood is thrown: as the predicted piece in which its triangle lies. */
function thrownBodies(path) {
  const apart = new Float32Array(path.body.length);
  for (let triangle = 0; triangle < path.body_piece.length; triangle += 1) {
    const corners = path.body.subarray(6 * triangle, 6 * triangle + 6);
    const x = (corners[0] + corners[2] + corners[4]) / 3;
    const y = (corners[1] + corners[3] + corners[5]) / 3;
    const wanted = path.body_piece[triangle];
    const ownFills = path.broken.flatMap(({ move, fills }) => fills
      .filter(({ piece }) => piece === wanted || piece === path.pieces[wanted])
      .map(({ outline }) => ({ move, outline })));
    const found = ownFills.find(({ outline }) => inside(outline, x, y)) ?? nearest(ownFills, x, y);
    for (let corner = 0; found && corner < 3; corner += 1) apart.set(found.move, 6 * triangle + 2 * corner);
  }
  return apart;
}

function nearest(fills, x, y) {
  const away = ({ outline }) => Math.min(...outline.map(([x1, y1], index) => {
    return awayFrom(x, y, x1, y1, ...outline[(index + 1) % outline.length]);
  }));
  return fills.length > 1 ? fills.reduce((best, one) => (away(one) < away(best) ? one : best)) : fills[0];
}

/** How far segments are thrown: as the triangle of wood under their middle that moves as they do. */
function followWood(path, thrown, segments, moved) {
  const apart = new Float32Array(segments.length / 2);
  const [lastOfSegments, lastOfBody] = [moved.length - segments.length, path.body_moved.length - path.body.length];
  for (let index = 0; index < apart.length / 2; index += 1) {
    const [x1, y1, x2, y2] = segments.subarray(4 * index, 4 * index + 4);
    const own = moved.subarray(lastOfSegments + 4 * index, lastOfSegments + 4 * index + 4);
    let [best, least] = [-1, Infinity];
    for (const { triangle, weights } of trianglesAt(path.body, (x1 + x2) / 2, (y1 + y2) / 2)) {
      const other = path.body_moved.subarray(lastOfBody + 6 * triangle, lastOfBody + 6 * triangle + 6);
      const mixed = (side) => weights.reduce((sum, weight, corner) => sum + weight * other[2 * corner + side], 0);
      const away = Math.hypot((own[0] + own[2]) / 2 - mixed(0), (own[1] + own[3]) / 2 - mixed(1));
      if (away < least) [best, least] = [triangle, away];
    }
    if (best >= 0) apart.set(thrown.subarray(6 * best, 6 * best + 2), 2 * index);
  }
  return apart;
}

const UNEVEN = 0.7548776662; // share of a whole from one stroke to the next: it never comes round

/** Short strokes across a torn line, uneven in place, length and lean. */
function fibresAlong(line, size) {
  const strokes = [];
  let number = 0;
  for (let index = 1; index < line.length; index += 1) {
    const [[x1, y1], [x2, y2]] = [line[index - 1], line[index]];
    const far = Math.hypot(x2 - x1, y2 - y1);
    const [dx, dy] = [(x2 - x1) / far, (y2 - y1) / far];
    for (let at = 0.3 * size; at < far; at += size * (0.8 + 0.5 * ((UNEVEN * number) % 1))) {
      number += 1;
      const high = 0.5 * size + 1.1 * size * ((UNEVEN * number * number) % 1);
      const lean = 0.5 - ((UNEVEN * number) % 1);
      const [x, y] = [x1 + at * dx, y1 + at * dy];
      strokes.push([[x - high * (lean * dx - dy), y - high * (lean * dy + dx)],
        [x + high * (lean * dx - dy), y + high * (lean * dy + dx)]]);
    }
  }
  return strokes;
}

/** Short strokes in a torn area. */
function fibresIn(area, size) {
  const [xs, ys] = [0, 1].map((side) => area.map((place) => place[side]));
  const [left, right, low, high] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const strokes = [];
  const wanted = Math.min(600, Math.ceil(((right - left) * (high - low)) / (2.5 * size * size)));
  for (let number = 1; number <= wanted; number += 1) {
    const x = left + (right - left) * ((UNEVEN * number) % 1);
    const y = low + (high - low) * ((0.5698402909980532 * number) % 1);
    const [dx, dy] = (number % 3 ? [1.1, 0.5] : [1.2, -0.2]).map((part) => part * size);
    if (inside(area, x - dx, y - dy) && inside(area, x + dx, y + dy)) strokes.push([[x - dx, y - dy], [x + dx, y + dy]]);
  }
  return strokes;
}
