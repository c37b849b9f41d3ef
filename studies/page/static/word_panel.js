/** The small panel at a word: text and slider for a quantity or a count, a list for a choice. */

import { button, make } from "./elements.js";

const LONG = 9;
const YES_OR_NO = [
  { value: "yes", text: "yes", note: "" },
  { value: "no", text: "no", note: "" },
];

/**
 * A panel for one word.
 *
 * @param {object} part the word, as a sentence has it
 * @param {{edit: function(string): void, range: function(): Promise, many: function(?object): void, done: function(): void}} on
 * @returns {{element: HTMLElement, focus: function(): void, told: function(object): void}} `told` hears the word as each
 *   new sentence has it
 */
export function wordPanel(part, on) {
  const inside =
    part.shape === "choice" || part.shape === "yes or no" ? choices(part, on) : amounts(part, on);
  const message = make("p", { class: "panel-wrong", id: "panel-wrong" });
  const feet = make(
    "p",
    { class: "panel-feet" },
    part.shape === "yes or no"
      ? null
      : button("Try many", () => on.many(inside.stops()), { "aria-label": `Try many: ${part.label}` }),
    button("Done", inside.done || on.done),
  );
  const element = make(
    "div",
    { class: "word-panel", role: "dialog", "aria-label": part.label },
    ...inside.nodes,
    part.note ? make("p", { class: "panel-note" }, part.note) : null,
    message,
    feet,
  );

  function told(word) {
    message.textContent = word.wrong ? `✗ ${word.wrong}` : "";
    inside.told(word);
  }

  told(part);
  return { element, told, focus: inside.focus };
}

/** Text and slider. Each move of the slider edits at once. */
function amounts(part, on) {
  let range = null;
  let leaving = false;
  let last = part.text;
  const field = make("input", {
    type: "text",
    class: "amount",
    value: part.text,
    autocomplete: "off",
    spellcheck: "false",
    "aria-describedby": "panel-wrong",
  });
  const slider = make("input", {
    type: "range",
    class: "stops",
    min: 0,
    max: 0,
    step: 1,
    "aria-label": `${part.label}, by slider`,
  });
  const ends = make("span", { class: "ends", "aria-hidden": "true" });
  const sliding = make("div", { class: "sliding", hidden: true }, slider, ends);

  on.range().then(
    (found) => {
      if (!found.stops || found.stops.length < 2) return;
      range = found;
      slider.max = String(found.stops.length - 1);
      slider.value = String(found.at);
      slider.setAttribute("aria-valuetext", found.stops[found.at] ?? last);
      ends.replaceChildren(make("span", {}, found.stops[0]), make("span", {}, found.stops.at(-1)));
      sliding.hidden = false;
    },
    () => {},
  );

  function slide() {
    const value = range.stops[Number(slider.value)];
    slider.setAttribute("aria-valuetext", value);
    field.value = last = value;
    leaving = false;
    on.edit(value);
  }

  function commit() {
    const value = field.value.trim();
    if (value === last) return false;
    last = value;
    on.edit(value);
    return true;
  }

  function done() {
    if (commit()) leaving = true;
    else on.done();
  }

  slider.addEventListener("input", slide);
  field.addEventListener("change", commit);
  field.addEventListener("keydown", (event) => {
    if (event.key === "Enter") done();
    else if (range && (event.key === "ArrowUp" || event.key === "ArrowDown")) {
      event.preventDefault();
      const step = event.key === "ArrowUp" ? 1 : -1;
      slider.value = String(Number(slider.value) + step);
      slide();
    }
  });

  return {
    nodes: [make("label", { class: "field-label" }, part.label, field), sliding],
    stops: () => range,
    done,
    focus() {
      field.focus();
      field.select();
    },
    told(word) {
      field.setAttribute("aria-invalid", String(Boolean(word.wrong)));
      if (leaving && !word.wrong) on.done();
      else if (leaving) field.select();
      leaving = false;
    },
  };
}

/** A list with notes; a long one is filtered by typing, and what it does not have may be typed as well. */
function choices(part, on) {
  const all = part.choices || YES_OR_NO;
  const long = all.length >= LONG;
  let shown = all;
  let at = Math.max(
    0,
    all.findIndex((choice) => choice.text === part.text || choice.value === part.text),
  );
  const list = make("ul", {
    role: "listbox",
    id: "panel-choices",
    "aria-label": part.label,
    tabindex: long ? false : "0",
  });
  const filter = make("input", {
    type: "text",
    class: "filter",
    role: "combobox",
    autocomplete: "off",
    spellcheck: "false",
    "aria-expanded": "true",
    "aria-controls": "panel-choices",
    "aria-autocomplete": "list",
    "aria-label": `${part.label}, type to find`,
    placeholder: "type to find",
  });
  const focused = long ? filter : list;
  const none = make("p", { class: "quiet", role: "status" });

  function fill() {
    list.replaceChildren(
      ...shown.map((choice, index) =>
        make(
          "li",
          {
            role: "option",
            id: `panel-choice-${index}`,
            "aria-selected": String(index === at),
            click: () => pick(index),
            mousedown: (event) => event.preventDefault(),
          },
          make("span", { class: "choice-text" }, choice.text),
          choice.note ? make("span", { class: "choice-note" }, choice.note) : null,
        ),
      ),
    );
    none.textContent = shown.length ? "" : "None has that name; Enter asks for it as it is typed.";
    mark();
  }

  function mark() {
    [...list.children].forEach((option, index) => option.setAttribute("aria-selected", String(index === at)));
    if (shown[at]) focused.setAttribute("aria-activedescendant", `panel-choice-${at}`);
    else focused.removeAttribute("aria-activedescendant");
    list.children[at]?.scrollIntoView({ block: "nearest" });
  }

  function pick(index) {
    const typed = filter.value.trim();
    if (shown[index])
      on.edit(shown[index].value); // of an optional word it may be "": left out
    else if (typed) on.edit(typed);
    on.done();
  }

  function go(event) {
    const to = { ArrowDown: at + 1, ArrowUp: at - 1, Home: 0, End: shown.length - 1 }[event.key];
    if (event.key === "Enter" || (event.key === " " && !long)) {
      event.preventDefault();
      pick(at);
    } else if (to !== undefined && !(long && (event.key === "Home" || event.key === "End"))) {
      event.preventDefault();
      at = Math.min(Math.max(to, 0), shown.length - 1);
      mark();
    } else if (!long && event.key.length === 1) {
      const found = shown.findIndex((choice) =>
        choice.text.toLowerCase().startsWith(event.key.toLowerCase()),
      );
      if (found >= 0) at = found;
      mark();
    }
  }

  filter.addEventListener("input", () => {
    const typed = filter.value.trim().toLowerCase();
    shown = all.filter((choice) => `${choice.text} ${choice.note || ""}`.toLowerCase().includes(typed));
    at = 0;
    fill();
  });
  focused.addEventListener("keydown", go);
  fill();

  return {
    nodes: [make("p", { class: "field-label" }, part.label), ...(long ? [filter] : []), list, none],
    stops: () => null,
    focus() {
      focused.focus();
      mark();
    },
    told() {},
  };
}
