/** The row of kept corners, ranked as the program ranks them. */

import { button, make } from "./elements.js";
import { changeKept, readKept, watchKept } from "./kept_store.js";

const PICTURE_WIDTH = 320;

/**
 * Shows the row and acts on it.
 *
 * @param {HTMLElement} element
 * @param {{open: function(object): void, compare: function(object): void, rank: function(object[]): Promise, say: function(string): void}} on
 *   `open` and `compare` get the whole entry: id, name, corner, units, plain, headline, picture
 * @returns {{keep: function(object, object, string, object): Promise<?string>, refresh: function(string, object): void,
 *   load: function(): void, save: function(): void}} `keep` returns the id of the new entry, or null; `refresh` gives an
 *   entry a newer headline; `load` reads and ranks anew; `save` is there for whoever wants the row written again
 */
export function keptRow(element, on) {
  const trouble = make("p", { class: "line alarm", role: "alert", hidden: true });
  const undo = make("p", { class: "kept-undo", role: "status" });
  const cards = make("ol", { class: "cards" });
  const claims = make("ul", { class: "claims" });
  const empty = make(
    "p",
    { class: "quiet" },
    "None yet. What is kept stands here, strongest first, and is still here after a reload.",
  );
  let corners = [];
  let ranking = 0;
  element.replaceChildren(trouble, undo, empty, cards, claims);

  function say(text) {
    trouble.textContent = text;
    trouble.hidden = !text;
  }

  function load() {
    const kept = readKept();
    corners = kept.corners;
    say(kept.trouble);
    empty.hidden = Boolean(corners.length);
    draw(
      corners.map((_, index) => index),
      [],
    );
    if (corners.length) rank();
    else claims.replaceChildren();
  }

  async function rank() {
    const mine = (ranking += 1);
    const asked = corners;
    try {
      const ranked = await on.rank(
        asked.map(({ name, headline, corner }) => ({
          name,
          answer: headline.answer,
          glue: String(corner.glue?.kind ?? ""),
        })),
      );
      if (mine !== ranking || asked !== corners) return;
      draw(ranked.order, ranked.rows);
      claims.replaceChildren(...(ranked.claims || []).map((claim) => make("li", {}, claim)));
    } catch {
      claims.replaceChildren(); // Unranked, they stand as they were kept.
    }
  }

  function draw(order, rows) {
    const focused = document.activeElement?.closest?.(".card")?.dataset.id;
    const act = document.activeElement?.dataset?.act;
    if (cards.querySelector("form")) return;
    cards.replaceChildren(
      ...order
        .filter((index) => corners[index])
        .map((index) =>
          card(
            corners[index],
            rows.find((row) => row.index === index),
          ),
        ),
    );
    if (focused)
      [...cards.children]
        .find((each) => each.dataset.id === focused)
        ?.querySelector(`[data-act="${act}"]`)
        ?.focus();
  }

  function card(kept, row) {
    const words = row || {
      load: kept.headline.break_text,
      band: kept.headline.band_text,
      breaks: kept.headline.breaks_in,
      where: kept.headline.where,
    };
    const picture = /^data:image\//.test(kept.picture || "")
      ? make("img", { src: kept.picture, alt: "" })
      : make("span", { class: "no-picture" });
    const title = make("h3", {}, kept.name);
    const buttons = make(
      "p",
      { class: "card-acts" },
      ...[
        ["Open", () => on.open(kept)],
        ["Compare", () => on.compare(kept)],
        ["Rename", () => rename(kept, title)],
        ["Remove", () => remove(kept)],
      ].map(([name, does]) => button(name, does, { "data-act": name, "aria-label": `${name} ${kept.name}` })),
    );
    return make(
      "li",
      { class: "card", "data-id": kept.id },
      picture,
      title,
      make("p", { class: "short-words" }, kept.plain),
      make(
        "p",
        { class: "card-load" },
        make("strong", {}, words.load),
        " ",
        make("span", {}, words.band || ""),
      ),
      make("p", { class: "where" }, `Breaks in ${words.breaks}${words.where ? `, ${words.where}` : ""}`),
      buttons,
    );
  }

  async function keep(corner, headline, picture, { units, plain }) {
    const id = crypto.randomUUID ? crypto.randomUUID() : `${Date.now()}-${Math.random()}`;
    const entry = { id, name: "", corner, units, plain, headline, picture: await small(picture) };
    const failed = changeKept((now) => [...now, { ...entry, name: freeName(plain, now) }]);
    load();
    if (failed) say(failed);
    return failed ? null : id;
  }

  function refresh(id, headline) {
    if (!corners.some((kept) => kept.id === id)) return;
    changeKept((now) => now.map((kept) => (kept.id === id ? { ...kept, headline } : kept)));
    load();
  }

  function rename(kept, title) {
    const field = make("input", {
      type: "text",
      value: kept.name,
      maxlength: 60,
      "aria-label": "Name of this corner",
    });
    const form = make("form", {}, field, make("button", { type: "submit" }, "Set"));
    let over = false;
    const finish = (name) => {
      if (over) return;
      over = true;
      form.remove();
      const failed =
        name && changeKept((now) => now.map((each) => (each.id === kept.id ? { ...each, name } : each)));
      load();
      if (failed) say(failed);
      [...cards.children]
        .find((each) => each.dataset.id === kept.id)
        ?.querySelector('[data-act="Rename"]')
        ?.focus();
    };
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      finish(field.value.trim());
    });
    form.addEventListener("keydown", (event) => {
      if (event.key !== "Escape") return;
      event.stopPropagation();
      finish("");
    });
    title.replaceChildren(form);
    field.focus();
    field.select();
  }

  function remove(kept) {
    const failed = changeKept((now) => now.filter((each) => each.id !== kept.id));
    load();
    if (failed) return say(failed);
    const back = button("Undo", () => {
      const refused = changeKept((now) => [...now, kept]);
      undo.replaceChildren();
      load();
      if (refused) say(refused);
      else
        [...cards.children]
          .find((each) => each.dataset.id === kept.id)
          ?.querySelector('[data-act="Open"]')
          ?.focus();
    });
    undo.replaceChildren(`Removed: ${kept.name}. `, back);
    back.focus();
  }

  function save() {
    const failed = changeKept((now) => now);
    if (failed) say(failed);
  }

  watchKept(load);
  return { keep, refresh, load, save };
}

/**
 * What stands before the first comma of a sentence.
 *
 * @param {string} plain
 * @returns {string}
 */
export function firstWords(plain) {
  return plain.split(/[,.;]/)[0];
}

/**
 * The same as a name.
 *
 * @param {string} plain
 * @returns {string} at most 48 letters
 */
export function shortName(plain) {
  return firstWords(plain)
    .replace(/^(A|An) /, "")
    .slice(0, 48);
}

/** The first words of the sentence, with a number where another has them already. */
function freeName(plain, kept) {
  const first = shortName(plain);
  const taken = new Set(kept.map((each) => each.name));
  let name = first;
  for (let count = 2; taken.has(name); count += 1) name = `${first}, ${count}`;
  return name;
}

/** A picture small enough to keep two dozen of them. */
async function small(picture) {
  if (!picture) return "";
  const image = new Image();
  image.src = picture;
  try {
    await image.decode();
  } catch {
    return "";
  }
  const canvas = document.createElement("canvas");
  canvas.width = Math.min(PICTURE_WIDTH, image.naturalWidth);
  canvas.height = Math.max(1, Math.round((canvas.width * image.naturalHeight) / image.naturalWidth));
  canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
  return canvas.toDataURL("image/png");
}
