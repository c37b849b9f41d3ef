/** Kept corners in the storage of this browser. Each change reads first, so that two tabs lose nothing of each other. */

const PLACE = "glueline kept corners";
const VERSION = 1;
/** As many as a row can still be looked over. */
export const MOST_KEPT = 24;

/**
 * What is kept now.
 *
 * @returns {{corners: object[], trouble: string}} trouble says why there may be more than is shown
 */
export function readKept() {
  let text = null;
  try {
    text = localStorage.getItem(PLACE);
  } catch {
    return {
      corners: [],
      trouble: "This browser refuses to keep anything; kept corners last until the page is closed.",
    };
  }
  if (text === null) return { corners: [], trouble: "" };
  try {
    const kept = JSON.parse(text);
    if (kept.version === VERSION && Array.isArray(kept.corners))
      return { corners: kept.corners.filter(sound), trouble: "" };
  } catch {
    // Said below: what cannot be read is left as it is.
  }
  return {
    corners: [],
    trouble: "The corners kept in this browser are of another version of this page and cannot be read here.",
  };
}

/**
 * Changes what is kept.
 *
 * @param {function(object[]): object[]} change from what is kept to what shall be
 * @returns {string} trouble in words, or "" where it is done
 */
export function changeKept(change) {
  const { corners, trouble } = readKept();
  if (trouble) return trouble;
  const changed = change(corners);
  if (changed.length > MOST_KEPT && changed.length > corners.length)
    return `No more than ${MOST_KEPT} corners are kept; remove one first.`;
  try {
    localStorage.setItem(PLACE, JSON.stringify({ version: VERSION, corners: changed }));
    return "";
  } catch {
    return "This browser has no room left to keep another corner; remove one first, or save this one as a specimen file.";
  }
}

/**
 * Calls back when another tab changes what is kept.
 *
 * @param {function(): void} changed
 */
export function watchKept(changed) {
  window.addEventListener("storage", (event) => {
    if (event.key === PLACE || event.key === null) changed();
  });
}

function sound(kept) {
  return (
    kept &&
    typeof kept.id === "string" &&
    typeof kept.name === "string" &&
    kept.corner &&
    kept.headline &&
    kept.headline.answer
  );
}
