/** A kept corner beside the one on the page, under the same force. It has a connection of its own. */

import { figure } from "./figure.js";
import { shortHeadline } from "./headline.js";
import { connect } from "./socket.js";

/**
 * The second corner.
 *
 * @param {URL} address of the socket
 * @param {object} parts `room`, `title`, `short`, `words`, `headline`, the buttons `open` and `close`, and `figure` with its elements
 * @param {{open: function(object): void, changed: function(): void, path: function(): void}} on
 * @returns {object} `show(entry, opened, units, view)`, `shown()`, `units(units)`, `view(name)`, `weigh(share)`, `path()`
 */
export function comparison(address, parts, on) {
  let link = null;
  let other = null;
  let entry = null;
  let asked = null;

  function begin(opened) {
    link = connect(address, { connected: ask, lost: () => other.lost() });
    link.onanswer = (answer) => other.answer(answer);
    if (other) return;
    other = figure({ ask: (...all) => link.ask(...all) }, parts.figure, {
      changed: () => {},
      scene: () => {},
      steps: () => {},
      path: on.path,
      band: () => {},
      headline: (found, progress) =>
        found ? shortHeadline(parts.headline, found, progress) : parts.headline.replaceChildren(),
    });
    other.drawing.scale(opened.scale, opened.signed, opened);
  }

  function ask() {
    if (asked) other.ask(asked.corner, asked.units);
  }

  function show(chosen, opened, units, view) {
    entry = chosen;
    parts.room.hidden = parts.short.hidden = false;
    parts.title.textContent = chosen.name;
    parts.words.textContent = chosen.plain;
    parts.headline.replaceChildren();
    on.changed();
    asked = { corner: chosen.corner, units };
    const linked = Boolean(link);
    if (!linked) begin(opened);
    other.drawing.view(view);
    if (linked) ask();
  }

  function close() {
    parts.room.hidden = parts.short.hidden = true;
    link?.close();
    link = asked = entry = null;
    on.changed();
  }

  parts.close.addEventListener("click", close);
  parts.open.addEventListener("click", () => {
    const chosen = entry;
    close();
    on.open(chosen);
  });

  return {
    show,
    shown: () => !parts.room.hidden,
    units: (units) => {
      if (!asked) return;
      asked = { ...asked, units };
      ask();
    },
    view: (name) => {
      if (entry) other.drawing.view(name);
    },
    weigh: (share) => {
      if (entry) other.weigh(share);
    },
    path: () => (entry && other ? other.path() : null),
  };
}
