/** The corner as a sentence whose underlined words are edited where they stand. */

import { button, make } from "./elements.js";
import { wordPanel } from "./word_panel.js";

/**
 * Shows sentences and hands on what is edited in them.
 *
 * @param {HTMLElement} element
 * @param {{edit: function(string, string): void, range: function(string): Promise, many: function(object, ?object): void}} on
 *   `many` starts a question of many with a word and the stops of its slider
 * @returns {{show: function(object): void, focusKey: function(string): boolean}}
 */
export function sentenceEditor(element, on) {
  const rooms = new Map();
  const room = make("div", { class: "sentence-line" });
  const more = button("more", () => unfold(!all), { class: "more", "aria-expanded": "false" });
  const rest = make("ul", { class: "wrong-rest" });
  let shown = null;
  let all = false;
  let open = null;
  element.replaceChildren(room, rest);

  function show(sentence) {
    shown = sentence;
    const parts = sentence.parts.filter((part, index, parts) => all || !hidden(part, parts[index + 1]));
    const nodes = parts.map((part) =>
      part.key === undefined ? document.createTextNode(part.text) : wordRoom(part),
    );
    if (sentence.parts.some((part) => part.optional)) nodes.push(document.createTextNode(" "), more);
    place(nodes);
    showRest(sentence);
    if (open && !rooms.get(open.key)?.isConnected) shut(false);
    else if (open) open.panel.told(rooms.get(open.key).part);
  }

  /** Puts nodes in order without moving those that stand right: a moved element would lose its focus. */
  function place(nodes) {
    const wanted = new Set(nodes);
    for (const node of [...room.childNodes]) if (!wanted.has(node)) node.remove();
    let next = room.firstChild;
    for (const node of nodes) {
      if (node === next) next = next.nextSibling;
      else room.insertBefore(node, next);
    }
  }

  function wordRoom(part) {
    if (!rooms.has(part.key)) rooms.set(part.key, emptyRoom(part.key));
    const word = rooms.get(part.key);
    word.part = part;
    word.button.textContent = part.text;
    word.button.setAttribute("aria-label", `${part.label}: ${part.text}`);
    word.button.classList.toggle("is-wrong", Boolean(part.wrong));
    if (part.wrong) word.button.setAttribute("aria-invalid", "true");
    else word.button.removeAttribute("aria-invalid");
    if (word.message.dataset.text !== (part.wrong || "")) {
      word.message.dataset.text = part.wrong || "";
      word.message.replaceChildren(...(part.wrong ? [` (✗ ${part.wrong}) `] : []));
    }
    return word.room;
  }

  function emptyRoom(key) {
    const id = `wrong ${key}`.replaceAll(/[^a-z0-9]+/gi, "-");
    const turn = () => (open && open.key === key ? shut(true) : unroll(key));
    // No button element: it would stand as a block in the line, and long words could not break with the sentence.
    const opener = make("span", {
      class: "word",
      role: "button",
      tabindex: "0",
      "data-key": key,
      "aria-haspopup": "dialog",
      "aria-expanded": "false",
      "aria-describedby": id,
      click: turn,
      keydown: (event) => pressed(event, turn),
    });
    const message = make("span", { class: "wrong", role: "alert", id });
    const made = {
      room: make("span", { class: "word-room" }, opener, message),
      button: opener,
      message,
      part: null,
    };
    Object.defineProperty(made, "isConnected", { get: () => made.room.isConnected });
    return made;
  }

  function unroll(key) {
    shut(false);
    const word = rooms.get(key);
    const panel = wordPanel(word.part, {
      edit: (value) => on.edit(key, value),
      range: () => on.range(key),
      many: (stops) => {
        shut(true);
        on.many(word.part, stops);
      },
      done: () => shut(true),
    });
    open = { key, panel };
    word.button.setAttribute("aria-expanded", "true");
    word.button.after(panel.element);
    beside(panel.element, word.button);
    panel.focus();
  }

  /** Under the word, within the sentence: on a narrow screen across all of it. */
  function beside(panel, word) {
    const around = element.getBoundingClientRect();
    const rects = word.getClientRects();
    const last = rects[rects.length - 1];
    const left = Math.min(last.left - around.left, around.width - panel.offsetWidth);
    panel.style.left = `${Math.max(0, left)}px`;
    panel.style.top = `${last.bottom - around.top + 6}px`;
  }

  function shut(back) {
    if (!open) return;
    const { key, panel } = open;
    const word = rooms.get(key);
    open = null;
    word.button.setAttribute("aria-expanded", "false");
    if (back && word.isConnected) word.button.focus();
    panel.element.remove();
  }

  function showRest(sentence) {
    const standing = new Set(
      [...rooms.values()].filter((word) => word.isConnected && word.part.wrong).map((word) => word.part.key),
    );
    const left = (sentence.wrong || []).filter((wrong) => !standing.has(wrong.key));
    if (rest.dataset.text === JSON.stringify(left)) return;
    rest.dataset.text = JSON.stringify(left);
    rest.replaceChildren(...left.map((wrong) => make("li", { role: "alert" }, `✗ ${wrong.message}`)));
    rest.hidden = !left.length;
  }

  function unfold(yes) {
    all = yes;
    more.textContent = all ? "less" : "more";
    more.setAttribute("aria-expanded", String(all));
    if (shown) show(shown);
  }

  element.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !open) return;
    event.stopPropagation();
    shut(true);
  });
  element.addEventListener("focusout", (event) => {
    const inside = open && rooms.get(open.key).room;
    const to = event.relatedTarget;
    if (inside && to && !inside.contains(to) && !to.contains(inside)) shut(false);
  });
  document.addEventListener("pointerdown", (event) => {
    if (open && !rooms.get(open.key).room.contains(event.target)) shut(false);
  });

  return {
    show,
    focusKey(key) {
      if (!rooms.get(key)?.isConnected) return false;
      rooms.get(key).button.focus();
      return true;
    },
  };
}

function pressed(event, act) {
  if (event.key !== "Enter" && event.key !== " ") return;
  event.preventDefault();
  act();
}

/**
 * The sentence without what waits behind "more".
 *
 * @param {object[]} parts
 * @returns {string}
 */
export function shortSentence(parts) {
  return parts
    .filter((part, index) => !hidden(part, parts[index + 1]))
    .map((part) => part.text)
    .join("")
    .trim();
}

/** Whether a part waits behind "more": optional words that are right, and the text that leads to them. */
function hidden(part, next) {
  if (part.key !== undefined || part.optional) return Boolean(part.optional) && !part.wrong;
  return Boolean(next && next.key !== undefined && next.optional && !next.wrong);
}
