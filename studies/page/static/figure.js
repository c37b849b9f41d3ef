/** One corner on the page: asked about, drawn, its headline kept. The page has one, and a second to compare. */

import { cornerDrawing } from "./drawing.js";
import { questions } from "./questions.js";

const AWAY =
  "The program is not running; start it again with glueline page. This page tries again by itself.";
const REFUSED = "The program runs, but not for this address: open the address that it prints now.";

/**
 * A corner with its connection-long state.
 *
 * @param {{ask: function(string, object): number}} link
 * @param {{drawing: HTMLElement, told: HTMLElement, failed: HTMLElement}} parts
 * @param {{changed: function(): void, scene: function(object): void, steps: function(object): void, path: function(object): void,
 *   band: function(object): void, headline: function(?object, string): void}} on
 * @returns {object} `ask(corner, units)`, `answer(heard)` true where it belonged here, `again()`, `lost()`, `drawing`, `path()`, `headline()`
 */
export function figure(link, parts, on) {
  const drawing = cornerDrawing(parts.drawing, {
    tell: (text) => {
      parts.told.textContent = text || "";
    },
  });
  let path = null;
  let headline = null;
  const asked = questions(link, {
    asked() {
      path = headline = null;
      on.changed();
    },
  });

  function fail(message) {
    parts.failed.textContent = message ? `No load for this corner: ${message}` : "";
    parts.failed.hidden = !message;
  }

  function show(found, progress) {
    headline = found;
    on.headline(found, progress);
  }

  function answer(heard) {
    const whose = asked.answer(heard);
    if (!whose) return false;
    if (heard.answer === "failed" || heard.answer === "refused") {
      parts.drawing.querySelector("[aria-busy]")?.removeAttribute("aria-busy");
      fail(heard.message);
      show(null, "");
    } else if (heard.answer === "scene") {
      fail("");
      if (path) return true; // The path of the same corner came first: it shows more.
      drawing.scene(heard);
      on.scene(heard);
      show(heard.headline, "The elastic answer; the path to the break is on its way.");
    } else if (heard.answer === "steps") {
      drawing.steps(heard);
      on.steps(heard);
    } else if (heard.answer === "path") {
      path = heard;
      fail("");
      drawing.path(heard);
      on.path(heard);
      show(heard.headline, "Followed to the break; the band is on its way.");
    } else if (heard.answer === "band") {
      show(heard.headline, "");
      on.band(heard);
    }
    return true;
  }

  /** Shows the corner at a share of its break load; what lies past it has let go. */
  function weigh(share) {
    if (!path) return;
    drawing.weigh(share);
    drawing.broken(share >= 1);
  }

  return {
    ask: asked.ask,
    again: asked.again,
    lost: asked.lost,
    answer,
    weigh,
    drawing,
    path: () => path,
    headline: () => headline,
  };
}

/**
 * Says that the connection is lost or back, aloud.
 *
 * @param {HTMLElement} line
 * @param {"away"|"refused"|""} why
 */
export function sayConnection(line, why) {
  const text = { away: AWAY, refused: REFUSED }[why] || "";
  if (line.textContent !== text) line.textContent = text;
  line.hidden = !text;
}

/**
 * The share of its own break load that the other corner bears under the force that the first bears.
 *
 * @param {object} path of the first
 * @param {number} share of the first's break load
 * @param {object} other path of the other
 * @returns {number} at most 1
 */
export function sameForce(path, share, other) {
  const force = share * path.load[path.break_at];
  return Math.min(1, force / other.load[other.break_at]);
}
