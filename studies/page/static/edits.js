/** Edits of the sentence, one at a time: of several for one word the newest counts. */

/**
 * A row of edits. The next is asked when the last is answered, on the corner which that answer gave.
 *
 * @param {{ask: function(string, object): number}} link
 * @param {{draft: function(): {corner: object, units: string}, sentence: function(object): void}} on
 * @returns {{edit: function(string, string): void, start: function(object, string, ?object, boolean=): void,
 *   answer: function(object): boolean, lost: function(): void}} `start` goes on from another corner or in other units;
 *   with its last argument the answer says `anew`, for all is to be asked again; `edited` says that it holds an edit
 */
export function edits(link, on) {
  const waiting = new Map();
  let asked = 0;
  let next = null;
  let anew = false;
  let edited = false;

  function edit(key, value) {
    waiting.delete(key);
    waiting.set(key, value);
    if (!asked) ask();
  }

  function start(corner, units, edit, again = false) {
    waiting.clear();
    next = { corner, units, edit };
    anew = anew || again;
    ask();
  }

  function ask() {
    if (next) {
      edited = Boolean(next.edit);
      asked = link.ask("sentence", next);
      next = null;
      return;
    }
    const [first] = waiting;
    if (!first) return;
    waiting.delete(first[0]);
    edited = true;
    asked = link.ask("sentence", { ...on.draft(), edit: { key: first[0], value: first[1] } });
  }

  function answer(heard) {
    if (heard.answer === "refused" && (heard.number === undefined || heard.number === null)) asked = 0;
    if (!asked || heard.number !== asked) return false;
    asked = 0;
    const good = heard.answer === "sentence";
    if (good) on.sentence({ ...heard, anew, edited });
    if (good) anew = false;
    ask();
    return good;
  }

  function lost() {
    asked = 0;
    waiting.clear();
  }

  return { edit, start, answer, lost };
}
