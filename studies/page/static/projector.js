/** The page for a room: corner, weight, sentence and caution, large; and the keys that do without a mouse. */

const OFF = "glueline single keys off";

/**
 * Listens to keys and buttons.
 *
 * @param {{button: HTMLElement, list: HTMLDialogElement, opener: HTMLElement, closer: HTMLElement, single: HTMLInputElement}} parts
 * @param {{keep: function(): void, play: function(): void, changed: function(boolean): void}} on
 * @returns {{on: function(): boolean}}
 */
export function projector(parts, on) {
  const shown = () => document.body.classList.contains("projector");

  function set(yes) {
    document.body.classList.toggle("projector", yes);
    parts.button.setAttribute("aria-pressed", String(yes));
    on.changed(yes);
  }

  function press(event) {
    if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey || parts.list.open) return;
    if (event.key === "Escape" && shown()) return set(false);
    if (!parts.single.checked || event.key.length !== 1 || typing(event.target)) return;
    const act = { p: () => set(!shown()), k: on.keep, w: on.play, "?": () => parts.list.showModal() }[
      event.key.toLowerCase()
    ];
    if (!act) return;
    event.preventDefault();
    act();
  }

  parts.single.checked = stored() !== "off";
  parts.single.addEventListener("change", () => store(parts.single.checked ? "on" : "off"));
  parts.button.setAttribute("aria-pressed", "false");
  parts.button.addEventListener("click", () => set(!shown()));
  parts.opener.addEventListener("click", () => parts.list.showModal());
  parts.closer.addEventListener("click", () => parts.list.close());
  document.addEventListener("keydown", press);
  return { on: shown };
}

function typing(target) {
  if (target.closest("[role=listbox], select, textarea")) return true;
  return target.matches("input") && !["range", "radio", "checkbox"].includes(target.type);
}

function stored() {
  try {
    return localStorage.getItem(OFF);
  } catch {
    return null;
  }
}

function store(text) {
  try {
    localStorage.setItem(OFF, text);
  } catch {
    // Refused: it holds until the page is closed.
  }
}
