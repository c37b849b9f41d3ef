/** Plane geometry that the drawing needs: filling outlines, finding what lies under a place. */

/**
 * Triangles that fill a simple outline, by cutting off ears.
 * @param {number[][]} outline - [x, y] in order, either way round
 * @returns {number[]} three indices a triangle
 */
export function triangles(outline) {
  const left = outline.map((_, index) => index);
  if (area(outline) < 0) left.reverse();
  const found = [];
  let turns = 0;
  while (left.length > 2 && turns <= left.length) {
    const [before, tip, after] = [left[left.length - 1], left[0], left[1]];
    if (isEar(outline, left, before, tip, after)) {
      if (turn(outline[before], outline[tip], outline[after]) > 0) found.push(before, tip, after);
      left.shift();
      turns = 0;
    } else {
      left.push(left.shift());
      turns += 1;
    }
  }
  return found;
}

/**
 * Whether a place lies inside an outline.
 * @param {number[][]} outline
 * @param {number} x
 * @param {number} y
 */
export function inside(outline, x, y) {
  let within = false;
  for (let now = 0, last = outline.length - 1; now < outline.length; last = now, now += 1) {
    const [x1, y1] = outline[now];
    const [x2, y2] = outline[last];
    if (y1 > y !== y2 > y && x < x1 + ((y - y1) * (x2 - x1)) / (y2 - y1)) within = !within;
  }
  return within;
}

/**
 * How far a place is from a segment.
 * @returns {number}
 */
export function awayFrom(x, y, x1, y1, x2, y2) {
  const [dx, dy] = [x2 - x1, y2 - y1];
  const length = dx * dx + dy * dy;
  const along = length ? Math.min(1, Math.max(0, ((x - x1) * dx + (y - y1) * dy) / length)) : 0;
  return Math.hypot(x - x1 - along * dx, y - y1 - along * dy);
}

/**
 * The triangles of an unshared mesh that hold a place, with the weight of each corner.
 * @param {Float32Array} places - x, y of three corners a triangle
 * @param {number} x
 * @param {number} y
 * @returns {{triangle: number, weights: number[]}[]}
 */
export function trianglesAt(places, x, y) {
  const found = [];
  for (let start = 0; start < places.length; start += 6) {
    const [x1, y1, x2, y2, x3, y3] = [
      places[start], places[start + 1], places[start + 2], places[start + 3], places[start + 4], places[start + 5],
    ];
    if (x < Math.min(x1, x2, x3) || x > Math.max(x1, x2, x3)) continue;
    if (y < Math.min(y1, y2, y3) || y > Math.max(y1, y2, y3)) continue;
    const whole = (x2 - x1) * (y3 - y1) - (x3 - x1) * (y2 - y1);
    if (!whole) continue;
    const second = ((x - x1) * (y3 - y1) - (x3 - x1) * (y - y1)) / whole;
    const third = ((x2 - x1) * (y - y1) - (x - x1) * (y2 - y1)) / whole;
    const first = 1 - second - third;
    if (first < -1e-4 || second < -1e-4 || third < -1e-4) continue;
    found.push({ triangle: start / 6, weights: [first, second, third] });
  }
  return found;
}

/**
 * Segments that follow each other, gathered to closed outlines.
 * @param {Float32Array} segments - x1, y1, x2, y2 a segment
 * @returns {number[][]} for each outline the numbers of its segments
 */
export function loops(segments) {
  const found = [];
  let loop = [];
  for (let index = 0; index < segments.length / 4; index += 1) {
    const last = loop[loop.length - 1];
    if (loop.length && !meets(segments, last, index)) loop = [];
    loop.push(index);
    if (loop.length > 2 && meets(segments, index, loop[0])) {
      found.push(loop);
      loop = [];
    }
  }
  return found;
}

function meets(segments, one, next) {
  const [dx, dy] = [segments[4 * one + 2] - segments[4 * next], segments[4 * one + 3] - segments[4 * next + 1]];
  return Math.hypot(dx, dy) < 1e-3;
}

function area(outline) {
  return outline.reduce((sum, [x, y], index) => {
    const [nextX, nextY] = outline[(index + 1) % outline.length];
    return sum + x * nextY - nextX * y;
  }, 0);
}

function turn(a, b, c) {
  return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
}

function isEar(outline, left, before, tip, after) {
  const [a, b, c] = [outline[before], outline[tip], outline[after]];
  const sharp = turn(a, b, c);
  if (sharp < 0) return false;
  if (sharp === 0) return true;
  return !left.some((index) => {
    if (index === before || index === tip || index === after) return false;
    const place = outline[index];
    return turn(a, b, place) > 0 && turn(b, c, place) > 0 && turn(c, a, place) > 0;
  });
}
