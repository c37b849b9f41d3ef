/** Which frames of a path belong to a share of the weight, and how the letting go runs. */

export const LETTING_GO = 700; // ms
const OPENING = 0.3; // share of it in which the last frames of the path are run through

/**
 * The moment at a share of the load at the break, before it.
 * @param {object} path - an unpacked path
 * @param {number} share - 0 to 1
 * @returns {{frame: number, part: number, magnification: number, away: number}} between `frame` and the next
 */
export function momentAt(path, share) {
  const wanted = share * path.load[path.break_at];
  const still = { magnification: path.magnification, away: 0 };
  for (let frame = 0; frame < path.break_at; frame += 1) {
    const [low, high] = [path.load[frame], path.load[frame + 1]];
    if (wanted <= high && high > low) return { frame, part: Math.max(0, (wanted - low) / (high - low)), ...still };
  }
  return { frame: path.break_at, part: 0, ...still };
}

/**
 * The moment at a share of the letting go: the last frames, then the wood springs back and its pieces go apart.
 * @param {object} path
 * @param {number} done - 0 to 1
 * @returns {{frame: number, part: number, magnification: number, away: number}}
 */
export function lettingGo(path, done) {
  const last = path.frames - 1;
  if (done < OPENING) {
    const place = path.break_at + (done / OPENING) * (last - path.break_at);
    const frame = Math.min(last, Math.floor(place));
    return { frame, part: place - frame, magnification: path.magnification, away: 0 };
  }
  const share = (done - OPENING) / (1 - OPENING);
  const eased = 1 - (1 - share) ** 3;
  return { frame: last, part: 0, magnification: path.magnification * (1 - eased), away: eased };
}

/**
 * Numbers of an array of a path at a moment, mixed between two frames.
 * @param {Float32Array} frames - one block a frame
 * @param {number} count - numbers in a block
 * @param {object} moment
 */
export function mixed(frames, count, moment) {
  const last = frames.length / count - 1;
  const [now, next] = [moment.frame, moment.frame + 1].map((frame) => Math.min(last, frame) * count);
  return Float32Array.from({ length: count }, (_, index) => {
    return frames[now + index] + moment.part * (frames[next + index] - frames[now + index]);
  });
}

/**
 * Where one of the places stands at a moment, in mm as drawn.
 * @param {Float32Array} places
 * @param {Float32Array} moved - one block a frame
 * @param {object} moment
 * @param {number} number - of the place
 * @returns {number[]}
 */
export function standingOne(places, moved, moment, number) {
  const last = moved.length / places.length - 1;
  const [now, next] = [moment.frame, moment.frame + 1].map((frame) => Math.min(last, frame) * places.length);
  return [2 * number, 2 * number + 1].map((index) => {
    const by = moved[now + index] + moment.part * (moved[next + index] - moved[now + index]);
    return places[index] + moment.magnification * by;
  });
}

/**
 * Where places stand at a moment, in mm as drawn.
 * @param {Float32Array} places
 * @param {Float32Array} moved - one block a frame
 * @param {object} moment
 */
export function standing(places, moved, moment) {
  const by = mixed(moved, places.length, moment);
  return places.map((place, index) => place + moment.magnification * by[index]);
}
