/** The state of the page, and who tells whom. */

import { loadCurve } from "./curve.js";
import { lookCloser } from "./closer.js";
import { comparison } from "./comparison.js";
import { edits } from "./edits.js";
import { figure, sameForce, sayConnection } from "./figure.js";
import { headlineRoom } from "./headline.js";
import { firstWords, keptRow, shortName } from "./kept.js";
import { manyCorners } from "./many.js";
import { make } from "./elements.js";
import { projector } from "./projector.js";
import { copyText, saveAs } from "./save.js";
import { sentenceEditor, shortSentence } from "./sentence.js";
import { connect } from "./socket.js";
import { linkOf, readLink, recall, remember } from "./store.js";
import { weightBar } from "./weight.js";

const at = (id) => document.getElementById(id);
/** Says what was done; what went wrong, or is still being done, stays until something else is said. */
function say(text) {
  at("said").textContent = text;
  clearTimeout(say.timer);
  if (!/^Not|…$/.test(text))
    say.timer = setTimeout(() => {
      at("said").textContent = "";
    }, SAID_FOR);
}

/** What the page shows: `right` is the last corner in which nothing was wrong, `draft` what the sentence says. */
const state = {
  right: null,
  draft: null,
  units: "metric",
  name: "",
  plain: "",
  command: "",
  commandNote: "",
  view: "strength",
  zoom: "whole",
  weight: 0,
  keptId: null,
};
let opened = null;
let weightToKeep = 0;
const SAID_FOR = 9000;
const STILL_FOR = 400;
const STORE_AFTER = 200; // A browser refuses to change its address for every move of a slider.

const socketAddress = new URL("socket", location.href.split("#")[0]);
socketAddress.protocol = socketAddress.protocol === "https:" ? "wss:" : "ws:";
const link = connect(socketAddress, {
  connected: () => {
    sayConnection(at("connection"), "");
    link.ask("open");
  },
  lost,
});
link.onanswer = hear;
const promised = new Map();
/** For whoever times the page: what has come and is drawn. */
const announce = (name) => window.dispatchEvent(new Event(`glueline:${name}`));

const sentence = sentenceEditor(at("sentence"), {
  edit: (key, value) => editing.edit(key, value),
  range: (key) => promise("range", { corner: state.draft, units: state.units, key }),
  many: beginMany,
});
const editing = edits(link, {
  draft: () => ({ corner: state.draft, units: state.units }),
  sentence: showSentence,
});
const headline = headlineRoom(at("headline"));
const curve = loadCurve(at("curve"));
const closer = lookCloser(at("closer"), {
  view: (name) => {
    state.view = name;
    corner.drawing.view(name);
    beside.view(name);
    store();
  },
});
const bar = weightBar(at("weight"), { moved: weigh });
const corner = figure(
  link,
  { drawing: at("drawing"), told: at("told"), failed: at("failed") },
  {
    changed() {
      bar.empty();
      curve.begin();
      state.keptId = null;
      at("keep").disabled = true;
    },
    scene(scene) {
      closer.scene(scene);
      announce("scene");
    },
    steps(steps) {
      curve.steps(steps);
      announce("steps");
    },
    path(path) {
      announce("path");
      curve.path(path);
      closer.path(path);
      bar.show(path);
      at("keep").disabled = false;
      putBack();
    },
    band: (band) => clearFrom(band.stand_clear, corner.path()),
    headline(found, progress) {
      if (found) headline.show(found, progress);
      else headline.empty("No load for this corner.");
      at("caution").textContent = found?.caution || opened?.caution || "";
      if (found && state.keptId) kept.refresh(state.keptId, found);
    },
  },
);
const beside = comparison(
  socketAddress,
  {
    room: at("other"),
    title: at("other-title"),
    short: at("other-short"),
    words: at("other-words"),
    headline: at("other-headline"),
    close: at("other-close"),
    open: at("other-open"),
    figure: { drawing: at("other-drawing"), told: at("other-told"), failed: at("other-failed") },
  },
  {
    open: openKept,
    changed: () => document.body.classList.toggle("two", beside.shown()),
    path: () => {
      if (state.weight) weigh(state.weight);
    },
  },
);
const kept = keptRow(at("kept"), {
  open: openKept,
  compare: (entry) => {
    beside.show(entry, opened, state.units, state.view);
    at("other-title").scrollIntoView({ block: "nearest" });
  },
  rank: (corners) => promise("rank", { units: state.units, kept: corners }),
  say,
});
const many = manyCorners(at("many-room"), {
  ask: (fields) => link.ask("many", fields),
  stop: () => link.ask("stop", { what: "many" }),
  open: (point) => {
    history.pushState(null, "", location.hash);
    editing.start(point.corner, point.units, { key: point.key, value: point.value });
  },
  put: (yes) => {
    at("many").hidden = !yes;
  },
});
const room = projector(
  {
    button: at("projector"),
    list: at("keys-list"),
    opener: at("keys"),
    closer: at("keys-close"),
    single: at("single-keys"),
  },
  { keep, play: () => bar.play(), changed: () => window.dispatchEvent(new Event("resize")) },
);

function hear(answer) {
  if (answer.answer === "opened") return open(answer);
  if (promised.has(answer.number)) return settle(answer);
  if (editing.answer(answer) || corner.answer(answer)) return undefined;
  if (answer.answer === "refused") {
    corner.lost();
    return say(answer.message);
  }
  return many.answer(answer);
}

/** The first corner, or the one that was here before; after a lost connection everything anew. */
function open(answer) {
  const first = !opened;
  opened = answer;
  at("caution").textContent ||= answer.caution || "";
  corner.drawing.scale(answer.scale, answer.signed, answer);
  fillStart(answer.corners);
  if (first) begin(answer);
  else editing.start(state.draft, state.units, null, true);
  kept.load();
}

function begin(answer) {
  const linked = location.hash.length > 1 ? readLink(location.hash) : null;
  if (location.hash.length > 1 && !linked)
    say("The corner in this address cannot be read; this is another one.");
  const tab = recall("tab");
  const mine = linked && tab && linkOf(tab.right || tab.corner, tab.units) === location.hash ? tab : null;
  const found = mine || linked || (answer.demo ? recall("browser") : null) || answer.corners[0];
  state.name = found.name || "";
  if (mine || (!linked && found !== answer.corners[0])) {
    weightToKeep = Number(found.weight) || 0;
    zoom(found.zoom === "close" ? "close" : "whole");
    if (found.view && found.view !== "strength") {
      corner.drawing.view((state.view = found.view));
      closer.viewing(found.view);
    }
  }
  editing.start(found.corner, found.units || "metric", null);
}

function showSentence(answer) {
  state.draft = answer.corner;
  if (answer.edited) state.name = "";
  const before = state.right && JSON.stringify([state.right, state.units]);
  sentence.show(answer);
  if (answer.wrong.length) {
    if (answer.anew) corner.again();
  } else {
    state.command = answer.command;
    state.commandNote = answer.command_note || "";
    state.right = answer.corner;
    state.plain = shortSentence(answer.parts);
    document.title = `${firstWords(answer.plain)} – Glueline`;
    setUnits(answer.units);
    if (answer.anew || before !== JSON.stringify([state.right, state.units]))
      corner.ask(state.right, state.units);
  }
  store();
}

function setUnits(units) {
  if (units !== state.units) {
    setTimeout(kept.load);
    beside.units(units);
  }
  state.units = units;
  at("units").querySelector(`[value=${units}]`).checked = true;
}

function store() {
  clearTimeout(store.timer);
  store.timer = setTimeout(storeNow, STORE_AFTER);
}

function storeNow() {
  const { draft, right, units, name, view, weight, zoom } = state;
  if (!draft) return;
  remember({ corner: draft, right, units, name, view, zoom, weight });
  if (right && linkOf(right, units) !== location.hash) history.replaceState(null, "", linkOf(right, units));
}

function weigh(share) {
  state.weight = share;
  weigh.last = Date.now();
  corner.weigh(share);
  curve.at(share);
  const [mine, other] = [corner.path(), beside.path()];
  if (mine && other) beside.weigh(sameForce(mine, share, other));
  store();
}

/** Marks on the weight from where to stand clear, which is earlier once the band is known; not while it moves. */
function clearFrom(standClear, path) {
  if (!standClear || !path || path !== corner.path()) return;
  if (Date.now() - weigh.last < STILL_FOR) return void setTimeout(clearFrom, STILL_FOR, standClear, path);
  weightToKeep = state.weight;
  bar.show({ ...path, stand_clear: standClear });
  putBack();
}

/** The weight that stood there before a reload, put back as if by hand. */
function putBack() {
  const slider = at("weight").querySelector("input[type=range]");
  if (!weightToKeep || !slider) return;
  slider.value = String(weightToKeep * Number(slider.max));
  weightToKeep = 0;
  slider.dispatchEvent(new Event("input", { bubbles: true }));
}

function lost(why) {
  sayConnection(at("connection"), why);
  for (const { refuse } of promised.values()) refuse(new Error(why));
  promised.clear();
  editing.lost();
  corner.lost();
  many.lost();
}

/** A question with one answer, as a promise. */
function promise(what, fields) {
  return new Promise((settled, refuse) => promised.set(link.ask(what, fields), { settled, refuse }));
}

function settle(answer) {
  const { settled, refuse } = promised.get(answer.number);
  promised.delete(answer.number);
  if (answer.answer === "refused" || answer.answer === "failed") refuse(new Error(answer.message));
  else settled(answer);
}

/** Of choices those are tried that fit the corner as it is, which the program knows. */
async function beginMany(word, range) {
  const asked = { corner: state.right, units: state.units, key: word.key };
  const values =
    range?.stops ??
    (await promise("range", asked).then(
      (found) => found.stops,
      () => [],
    ));
  const said = new Map((word.choices || []).map((choice) => [choice.value, choice.text]));
  const texts = values.map((value) => said.get(value) ?? value);
  if (values.length < 2) return say("There is nothing else to try for this word in this corner.");
  return many.begin({ ...asked, label: word.label, between: word.shape === "quantity", values, texts });
}

async function keep() {
  if (at("keep").disabled) return;
  const [found, whose] = [corner.headline(), state.right];
  const id = await kept.keep(state.right, found, corner.drawing.picture(), {
    units: state.units,
    plain: state.plain,
  });
  if (!id) return;
  say("Kept below.");
  if (whose !== state.right) return;
  state.keptId = id;
  if (corner.headline() !== found) kept.refresh(id, corner.headline());
}

function openKept(entry) {
  history.pushState(null, "", location.hash);
  state.name = entry.name;
  editing.start(entry.corner, state.units, null);
  at("words").focus();
}

function closeMenu() {
  at("save").open = false;
  at("save").querySelector("summary").focus();
}

function fillStart(corners) {
  at("start").replaceChildren(
    ...corners.map((each, index) => make("option", { value: index }, each.name)),
    make("option", { value: "", hidden: true }, "…"),
  );
  at("start").value = "";
  at("start-room").hidden = corners.length < 2;
}

function zoom(name) {
  state.zoom = name;
  at("zoom").querySelector(`[value=${name}]`).checked = true;
  corner.drawing.zoom(name);
}

at("start").addEventListener("change", () => {
  const chosen = opened.corners[Number(at("start").value)];
  if (!chosen) return;
  history.pushState(null, "", location.hash);
  state.name = chosen.name;
  editing.start(chosen.corner, chosen.units, null);
});
at("units").addEventListener("change", (event) => editing.start(state.draft, event.target.value, null));
at("zoom").addEventListener("change", (event) => {
  zoom(event.target.value);
  store();
});
at("keep").addEventListener("click", keep);
at("copy").addEventListener("click", () => {
  closeMenu();
  const noted = (text) => say([text, state.commandNote].filter(Boolean).join(" "));
  copyText(state.command, { room: at("command-room"), field: at("command") }, noted);
});
at("save").addEventListener("click", async (event) => {
  const what = event.target.dataset.save;
  if (!what) return;
  closeMenu();
  event.target.disabled = true;
  await saveAs(
    what,
    { corner: state.right, units: state.units, name: state.name || shortName(state.plain) },
    say,
  );
  event.target.disabled = false;
});
at("save").addEventListener("keydown", (event) => {
  if (event.key !== "Escape" || !at("save").open) return;
  event.preventDefault();
  closeMenu();
});
document.addEventListener("pointerdown", (event) => {
  if (!at("save").contains(event.target)) at("save").open = false;
});
window.addEventListener("pagehide", storeNow);
window.addEventListener("popstate", () => {
  const linked = readLink(location.hash);
  if (linked && opened) editing.start(linked.corner, linked.units, null);
});
