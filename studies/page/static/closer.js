/** For those who ask for more: the looks of the drawing, what each joining carries, shares of the moment. */

import { percent } from "./telling.js";

const LOOKS = {
  strength: "share of strength",
  along: "stress along the grain",
  across: "stress across the grain",
  shear: "shear stress",
  carried: "what carries the load",
};
const WORDS = {
  summary: "Look closer",
  looks: "What the colours show",
  carried: "What each part carries",
  moment: "Shares of the corner's moment",
  part: "part",
  share: "carries",
};

/**
 * Buttons and tables inside an element, closed until asked for.
 * @param {HTMLElement} element
 * @param {{view: function(string): void}} given - hears which look is wanted
 * @returns {object} scene(s), path(p), viewing(name), forget()
 */
export function lookCloser(element, { view }) {
  element.classList.add("look-closer");
  const ended = new AbortController();
  const details = made("details", "");
  const looks = made("div", "closer-looks");
  looks.setAttribute("role", "group");
  looks.setAttribute("aria-label", WORDS.looks);
  const tables = made("div", "closer-tables");
  const buttons = new Map(Object.entries(LOOKS).map(([name, text]) => {
    const button = made("button", "closer-look", text);
    button.type = "button";
    button.addEventListener("click", () => choose(name), { signal: ended.signal });
    looks.append(button);
    return [name, button];
  }));
  details.append(made("summary", "", WORDS.summary), looks, tables);
  element.append(details);

  const viewing = (name) => buttons.forEach((button, own) => button.setAttribute("aria-pressed", String(own === name)));
  const choose = (name) => {
    viewing(name);
    view(name);
  };
  const fill = ({ carried = [], headline }) => {
    const told = new Set(carried.map(({ name }) => name));
    const moment = Object.entries(headline?.answer?.moment_share ?? {}).filter(([name]) => !told.has(name));
    tables.replaceChildren(
      ...tableOf(WORDS.carried, carried.map(({ name, share, text }) => ({ name, share, text }))),
      ...tableOf(WORDS.moment, moment.map(([name, share]) => ({ name, share, text: percent(share) }))),
    );
  };
  viewing("strength");
  return {
    scene: fill,
    path: fill,
    viewing,
    forget() {
      ended.abort();
      element.replaceChildren();
      element.classList.remove("look-closer");
    },
  };
}

function made(kind, name, text = "") {
  const part = document.createElement(kind);
  if (name) part.className = name;
  part.textContent = text;
  return part;
}

function tableOf(caption, rows) {
  if (!rows.length) return [];
  const table = made("table", "closer-table");
  table.append(made("caption", "", caption));
  const head = table.createTHead().insertRow();
  for (const text of [WORDS.part, WORDS.share]) {
    const cell = made("th", "", text);
    cell.scope = "col";
    head.append(cell);
  }
  const body = table.createTBody();
  for (const { name, share, text } of rows) {
    const row = body.insertRow();
    const first = made("th", "", name);
    first.scope = "row";
    const bar = made("span", "closer-bar");
    bar.style.setProperty("--share", String(Math.min(1, Math.abs(share))));
    const cell = row.insertCell();
    cell.append(made("span", "closer-text", text), bar);
    row.prepend(first);
  }
  return [table];
}
