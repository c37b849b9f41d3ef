/** What outlives a reload: the corner in the address, the rest in the storage of this browser. */

const VERSION = 1;
const LAST = "glueline last";

/**
 * The end of an address that holds a corner and its units, to be kept or handed on.
 *
 * @param {object} corner
 * @param {string} units
 * @returns {string} with its #
 */
export function linkOf(corner, units) {
  const bytes = new TextEncoder().encode(JSON.stringify({ version: VERSION, corner, units }));
  const letters = Array.from(bytes, (byte) => String.fromCharCode(byte)).join("");
  return "#" + btoa(letters).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

/**
 * The corner of such an address, or null where there is none that can be read.
 *
 * @param {string} hash
 * @returns {?{corner: object, units: string}}
 */
export function readLink(hash) {
  try {
    const letters = atob(hash.slice(1).replaceAll("-", "+").replaceAll("_", "/"));
    const text = new TextDecoder("utf-8", { fatal: true }).decode(
      Uint8Array.from(letters, (each) => each.charCodeAt(0)),
    );
    return checked(JSON.parse(text));
  } catch {
    return null;
  }
}

/**
 * Remembers for a reload of this tab and for the next tab; a browser that refuses storage loses only that.
 *
 * @param {{corner: object, units: string}} state with whatever else is to be had again
 */
export function remember(state) {
  const text = JSON.stringify({ ...state, version: VERSION });
  for (const storage of storages()) {
    try {
      storage.setItem(LAST, text);
    } catch {
      // Full or refused: the address still holds the corner.
    }
  }
}

/**
 * What was remembered: by this tab, else by the tab last used; null where nothing was.
 *
 * @param {"tab"|"browser"} where
 * @returns {?object}
 */
export function recall(where) {
  const [tab, browser] = storages();
  try {
    return checked(JSON.parse((where === "tab" ? tab : browser).getItem(LAST)));
  } catch {
    return null;
  }
}

function storages() {
  try {
    return [sessionStorage, localStorage];
  } catch {
    return [];
  }
}

function checked(state) {
  const sound =
    state &&
    state.version === VERSION &&
    state.corner &&
    typeof state.corner === "object" &&
    ["metric", "imperial"].includes(state.units);
  return sound ? state : null;
}
