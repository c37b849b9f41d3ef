/** What a corner breaks in, where and at what load, in the words that the program gave. */

import { make } from "./elements.js";

/**
 * The whole headline.
 *
 * @param {HTMLElement} element
 * @returns {{show: function(object, string): void, empty: function(string): void}} `show` takes a headline and how far
 *   the answer has come; `empty` says why there is none
 */
export function headlineRoom(element) {
  const opened = new Set();

  function show(headline, progress) {
    element.replaceChildren(
      make("div", { "aria-live": "polite", "aria-atomic": "true" }, breakLine(headline), bandLine(headline)),
      make("p", { class: "progress" }, progress || ""),
      make("p", { class: "where" }, placeText(headline)),
      make("p", { class: "aloud" }, headline.aloud),
      loadTable(headline.loads),
      make("p", { class: "why" }, headline.why || ""),
      ...rangeFold(headline),
      ...noteFold(headline.notes),
    );
  }

  function rangeFold({ ranges, range_words: words }) {
    if (!ranges || !ranges.length) return [];
    const rows = ranges.map((range) =>
      make(
        "tr",
        {},
        make("th", { scope: "row" }, range.row),
        make("td", {}, range.low_text),
        make("td", {}, range.high_text),
      ),
    );
    const head = make(
      "tr",
      {},
      make("th", { scope: "col" }, "glue judged"),
      make("th", { scope: "col" }, "weak"),
      make("th", { scope: "col" }, "strong"),
    );
    const table = make("table", {}, make("thead", {}, head), make("tbody", {}, ...rows));
    return [
      fold(
        "What the judged values of glue would move",
        make("div", {}, table, words ? make("p", {}, [words].flat().join(" ")) : null),
      ),
    ];
  }

  function noteFold(notes) {
    if (!notes || !notes.length) return [];
    const name = notes.length === 1 ? "One note" : `${notes.length} notes`;
    return [fold(name, make("ul", {}, ...notes.map((note) => make("li", {}, note))), "notes")];
  }

  /** A fold that stays open while answers replace each other. */
  function fold(name, inside, key = name) {
    const details = make(
      "details",
      { class: "fold", open: opened.has(key) },
      make("summary", {}, name),
      inside,
    );
    details.addEventListener("toggle", () => (details.open ? opened.add(key) : opened.delete(key)));
    return details;
  }

  return { show, empty: (text) => element.replaceChildren(make("p", { class: "quiet" }, text)) };
}

/**
 * The headline in short, for a corner that stands beside another.
 *
 * @param {HTMLElement} element
 * @param {object} headline
 * @param {string} progress
 */
export function shortHeadline(element, headline, progress) {
  element.replaceChildren(
    breakLine(headline),
    bandLine(headline),
    make("p", { class: "where" }, placeText(headline)),
    make("p", { class: "progress" }, progress || ""),
  );
}

function breakLine(headline) {
  const what = headline.breaks_in ? `Breaks in ${headline.breaks_in} at` : "Breaks at";
  return make(
    "p",
    { class: "break" },
    make("span", { class: "break-what" }, what),
    " ",
    make("strong", { class: "break-load" }, headline.break_text),
  );
}

function bandLine(headline) {
  const band = headline.band_text;
  return make(
    "p",
    { class: "band" },
    ...(band ? [band, " ", make("span", { class: "band-what" }, "nine of ten made alike")] : []),
  );
}

function placeText(headline) {
  return [headline.where, headline.mode].filter(Boolean).join(": ");
}

function loadTable(loads) {
  const rows = (loads || []).map((load) =>
    make(
      "tr",
      {},
      make("th", { scope: "row" }, load.name),
      make(
        "td",
        { class: "number" },
        load.text,
        load.stacked ? make("span", { class: "stacked" }, `${load.stacked} stacked`) : null,
      ),
      make("td", { class: "for" }, load.for),
    ),
  );
  return make(
    "table",
    { class: "loads" },
    make("caption", { class: "unseen" }, "Loads and what each is for"),
    make(
      "thead",
      { class: "unseen" },
      make(
        "tr",
        {},
        make("th", { scope: "col" }, "load"),
        make("th", { scope: "col" }, "how much"),
        make("th", { scope: "col" }, "what it is for"),
      ),
    ),
    make("tbody", {}, ...rows),
  );
}
