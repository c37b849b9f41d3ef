/** What is asked about one corner while it changes: the elastic answer at once, the path when it rests. */

const REST = 250;

/**
 * At most one elastic question is under way; of those that come meanwhile the newest waits.
 *
 * @param {{ask: function(string, object): number}} link
 * @param {{asked: function(): void}} on told when the corner changes
 * @returns {{ask: function(object, string): void, answer: function(object): ("elastic"|"path"|null), again: function(): void,
 *   lost: function(): void}} `answer` is shown every answer and says to which of the two it belongs; `again` asks anew;
 *   after `lost` no answer is expected
 */
export function questions(link, on) {
  let wanted = null;
  let elastic = 0;
  let waiting = false;
  let path = 0;
  let timer = 0;

  function ask(corner, units) {
    wanted = { corner, units };
    on.asked();
    if (path) link.ask("stop", { what: "path" });
    path = 0;
    if (elastic) waiting = true;
    else askElastic();
    clearTimeout(timer);
    timer = setTimeout(askPath, REST);
  }

  function askElastic() {
    waiting = false;
    elastic = link.ask("elastic", wanted);
  }

  function askPath() {
    path = link.ask("path", wanted);
  }

  function answer(heard) {
    if (heard.number === elastic) {
      elastic = 0;
      if (waiting) askElastic();
      return "elastic";
    }
    if (heard.number === path) {
      if (!["steps", "path"].includes(heard.answer)) path = 0;
      return "path";
    }
    return null;
  }

  function lost() {
    clearTimeout(timer);
    elastic = path = 0;
    waiting = false;
  }

  function again() {
    lost();
    if (wanted) ask(wanted.corner, wanted.units);
  }

  return { ask, answer, again, lost };
}
