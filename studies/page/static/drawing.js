/** The one large corner: coloured by share of strength, by stress, or bending under weight until it lets go. */

import { between, closer, fitted, kept, loadedBox, movedBox, partedBox, together, toward } from "./camera.js";
import { signedTable, table, woodTable } from "./colours.js";
import { flatPainter } from "./drawing_flat.js";
import { glPainter } from "./drawing_gl.js";
import { listen } from "./gestures.js";
import { brokenLayers, pathLayers, sceneLayers } from "./layers.js";
import { colourLegend } from "./legend.js";
import { drawCrosshair, drawLoad, drawRing, drawSmall } from "./marks.js";
import { LETTING_GO, lettingGo, mixed, momentAt, standing, standingOne } from "./moments.js";
import {
  brokenItems, brokenLegend, GONE_LEGEND, LEGEND, legendOf, loadedItems, stressLimit, weighedItems,
} from "./paintings.js";
import { tellBroken, tellLoaded, tellWeighed } from "./telling.js";

const STILL = { frame: 0, part: 0, magnification: 0, away: 0 };
const WHOLE = { factor: 1, x: 0, y: 0 };
const REACH = 12; // pixels within which a line is meant
const STRESSES = ["along", "across", "shear"];
const LABEL = "The corner. Arrow keys move a cross that tells what is under it, plus and minus zoom, 0 shows the whole.";

/**
 * A drawing of a corner inside an element.
 * @param {HTMLElement} element
 * @param {{tell: function(string): void}} given - hears in words what is under pointer, finger or cross; "" for nothing
 * @returns {object} scale(colours, signed, words), scene(s), path(p), steps(s), weigh(share), broken(is), view(name),
 *   zoom("whole"|"close"), picture(width, height), painter(), forget()
 */
export function cornerDrawing(element, { tell }) {
  return new Drawing(element, tell).interface();
}

class Drawing {
  constructor(element, tell) {
    this.element = element;
    this.tell = tell;
    this.tables = { strength: table([[250, 240, 240], [110, 30, 45]]), wood: woodTable() };
    this.tables.signed = signedTable(this.tables.strength);
    this.words = { legend: LEGEND, goneLegend: GONE_LEGEND };
    this.layers = {};
    Object.assign(this, { shown: null, along: null, look: "strength", chosen: "strength", share: 0, brokenAt: null, isBroken: false });
    Object.assign(this, { zoomed: "whole", closeLook: WHOLE, cross: null, told: "", asked: 0, limits: {} });
    this.build();
    this.sizes = new ResizeObserver(() => this.resize());
    this.sizes.observe(this.stage);
    this.deaf = listen(this.stage, {
      zoom: (times, x, y) => this.takeLook(toward(this.closeLook, times, x, y)),
      drag: (dx, dy) => this.takeLook({ ...this.closeLook, x: this.closeLook.x + dx, y: this.closeLook.y + dy }),
      start: () => this.start(),
      isClose: () => this.closeLook.factor > 1,
      reset: () => this.takeLook(WHOLE),
      point: (x, y, byKeys) => this.point(x, y, byKeys),
      leave: () => this.point(null, null, false),
    });
  }

  interface() {
    return {
      scale: (colours, signed, words) => this.scale(colours, signed, words),
      scene: (scene) => this.scene(scene),
      path: (path) => this.path(path),
      steps: () => this.stage.setAttribute("aria-busy", "true"),
      weigh: (share) => this.weigh(share),
      broken: (is) => this.broken(is),
      view: (name) => this.view(name),
      zoom: (name) => {
        this.zoomed = name;
        this.takeLook(WHOLE);
      },
      picture: (width = 320, height = 220) => this.picture(width, height),
      painter: () => this.painter.name,
      forget: () => this.forget(),
    };
  }

  build() {
    this.element.classList.add("corner-drawing");
    this.stage = document.createElement("div");
    this.stage.className = "corner-stage";
    this.stage.tabIndex = 0;
    this.stage.setAttribute("role", "application");
    this.stage.setAttribute("aria-label", LABEL);
    this.marks = document.createElement("canvas");
    const legend = document.createElement("div");
    this.element.append(this.stage, legend);
    this.legend = colourLegend(legend);
    const flat = new URLSearchParams(location.search).has("flat");
    this.takePainter((!flat && glPainter(() => this.takePainter(flatPainter()))) || flatPainter());
  }

  /** Puts a painter on the stage with all that was painted so far; an earlier one is let go. */
  takePainter(painter) {
    this.painter?.forget();
    this.painter = painter;
    painter.canvas.className = "corner-canvas";
    this.marks.className = "corner-marks";
    for (const canvas of [painter.canvas, this.marks]) canvas.setAttribute("aria-hidden", "true");
    this.stage.replaceChildren(painter.canvas, this.marks);
    for (const [name, bytes] of Object.entries(this.tables)) painter.table(name, bytes);
    for (const [name, layer] of Object.entries(this.layers)) painter.put(name, layer);
    this.resize();
  }

  scale(colours, signed, words = {}) {
    this.tables.strength = table(colours);
    this.tables.signed = signedTable(this.tables.strength, signed);
    for (const name of ["strength", "signed"]) this.painter.table(name, this.tables[name]);
    this.words = { legend: words.legend ?? LEGEND, goneLegend: words.gone_legend ?? GONE_LEGEND };
    this.showLegend();
    this.redraw();
  }

  scene(scene) {
    this.along = null;
    this.take(scene, sceneLayers(scene));
  }

  path(path) {
    this.along = path;
    this.take(path, { ...sceneLayers(path), ...pathLayers(path), ...brokenLayers(path) });
  }

  take(shown, layers) {
    this.shown = shown;
    Object.assign(this, { isBroken: false, brokenAt: null, look: this.chosen });
    this.corners = new Map(); // the corner of wood that each arrow and support goes with
    this.boxes = { whole: loadedBox(shown), close: shown.close };
    if (this.along) {
      this.boxes.moved = together(this.boxes.whole, movedBox(shown));
      if (shown.broken) this.boxes.parted = partedBox(shown.broken);
    }
    for (const name of Object.keys(this.layers)) if (!(name in layers)) this.painter.drop(name);
    this.layers = layers;
    for (const [name, layer] of Object.entries(layers)) this.painter.put(name, layer);
    this.limits = Object.fromEntries(STRESSES.map((name) => [name, stressLimit(shown[name], shown.stresses?.[name]?.limit)]));
    this.stage.removeAttribute("aria-busy");
    this.showLegend();
    this.redraw();
  }

  weigh(share) {
    if (!this.along) return;
    this.share = Math.min(1, Math.max(0, share));
    if (this.share < 1) this.broken(false);
    this.takeView("weight");
  }

  broken(is) {
    const was = this.isBroken;
    this.isBroken = Boolean(is && this.along?.broken);
    if (was !== this.isBroken) this.showLegend();
    if (!this.isBroken) return void this.redraw();
    if (!was) {
      const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
      this.brokenAt = still ? -Infinity : performance.now();
    }
    this.share = 1;
    this.takeView("weight");
  }

  view(name) {
    if (name !== "weight") {
      this.isBroken = false;
      this.chosen = name;
    }
    this.takeView(name);
  }

  takeView(name) {
    const other = this.look !== name;
    this.look = name;
    if (other) this.showLegend();
    this.redraw();
  }

  showLegend() {
    if (this.isBroken) return void this.legend.show(brokenLegend(this.along.broken));
    const { stress_unit: unit, stresses } = this.shown ?? {};
    const given = {
      tables: this.tables, ...this.words, limit: this.limits[this.look], unit, stress: stresses?.[this.look],
    };
    if (this.shown || !STRESSES.includes(this.look)) this.legend.show(legendOf(this.look, given));
  }

  takeLook(look) {
    this.closeLook = kept(look, this.width, this.height);
    this.stage.classList.toggle("is-close", this.closeLook.factor > 1);
    this.redraw();
  }

  resize() {
    this.ratio = window.devicePixelRatio || 1;
    this.width = Math.max(1, this.stage.clientWidth);
    this.height = Math.max(1, this.stage.clientHeight);
    this.element.classList.toggle("is-wide", this.element.clientWidth > 1.15 * this.element.clientHeight);
    const letters = this.letters();
    this.element.classList.toggle("is-tight", this.height < 16 * letters || this.width < 24 * letters);
    this.painter.resize(this.width, this.height, this.ratio);
    this.marks.width = Math.round(this.width * this.ratio);
    this.marks.height = Math.round(this.height * this.ratio);
    this.closeLook = kept(this.closeLook, this.width, this.height);
    // At once, since a canvas is empty once its size is set.
    this.draw();
  }

  redraw() {
    if (!this.asked) this.asked = requestAnimationFrame(() => this.draw());
  }

  draw() {
    cancelAnimationFrame(this.asked);
    this.asked = 0;
    if (this.ratio !== (window.devicePixelRatio || 1)) return void this.resize();
    if (!this.shown) return void this.painter.draw([], { scale: 1, x: 0, y: 0 }, STILL);
    const done = this.isBroken ? Math.min(1, (performance.now() - this.brokenAt) / LETTING_GO) : 0;
    const moment = this.momentNow(done);
    const camera = this.cameraNow(this.width, this.height, moment.away);
    this.painter.draw(this.items(camera, done, moment), camera, done >= 1 ? { ...moment, away: 1 } : moment);
    const context = this.marks.getContext("2d");
    context.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    context.clearRect(0, 0, this.width, this.height);
    this.drawMarks(context, camera, moment, this.letters(), this.width, this.height);
    if (this.cross) drawCrosshair(context, [this.cross.x, this.cross.y]);
    if (done > 0 && done < 1 || this.isBroken && done === 0) this.redraw();
    this.stage.dataset.drawn = `${this.isBroken && done >= 1 ? "broken" : this.look}`;
  }

  items(camera, done, moment) {
    const width = Math.min(20, Math.max(0.35 * this.letters(), 0.075 * this.shown.depth * camera.scale));
    if (this.isBroken && done >= 1) return brokenItems(width);
    if (this.look === "weight") return weighedItems(width, moment.away > 0);
    return loadedItems(this.look, width, this.limits[this.look]);
  }

  momentNow(done) {
    if (this.look !== "weight" || !this.along) return STILL;
    return this.isBroken ? lettingGo(this.along, done) : momentAt(this.along, this.share);
  }

  /** The home of the look, which grows with the pieces as they go apart, and how much closer the user looks. */
  cameraNow(width, height, away) {
    const { whole, close, moved, parted } = this.boxes;
    const home = this.look === "weight" && moved ? moved : whole;
    const wide = away > 0 ? between(home, parted, away) : home;
    const near = away > 0 ? between(close, together(close, partedClose(close, this.along.broken)), away) : close;
    const margin = this.zoomed === "close" ? 6 : Math.min(1.7 * this.letters(), 0.1 * Math.min(width, height));
    return closer(fitted(this.zoomed === "close" ? near : wide, width, height, margin), this.closeLook);
  }

  letters() {
    return parseFloat(getComputedStyle(this.stage).fontSize) || 16;
  }

  drawMarks(context, camera, moment, letters, width, height) {
    const toScreen = (x, y) => [camera.x + x * camera.scale, height - camera.y - y * camera.scale];
    if (moment.away === 0) {
      if (this.zoomed === "whole") drawLoad(context, this.bent(moment), toScreen, letters);
      else this.drawSmallCorner(context, letters, width, height);
    }
    if (this.look === "strength" && this.shown.ring) {
      const radius = Math.min(26, Math.max(13, 0.3 * this.shown.depth * camera.scale));
      drawRing(context, toScreen(...this.shown.ring), radius);
    }
  }

  /** Load and supports where the corner has moved to. */
  bent(moment) {
    if (moment.magnification === 0 || !this.along) return this.shown;
    const { edges, depth, arrows = [], supports = [], body, body_moved: moved } = this.along;
    const carry = (one) => {
      const corner = this.corners.get(one) ?? nearestCorner(body, one.at);
      this.corners.set(one, corner);
      const [x, y] = standingOne(body, moved, moment, corner);
      return { ...one, at: [one.at[0] + x - body[2 * corner], one.at[1] + y - body[2 * corner + 1]] };
    };
    return { edges, depth, arrows: arrows.map(carry), supports: supports.map(carry) };
  }

  drawSmallCorner(context, letters, width, height) {
    const side = 0.34 * Math.min(width, height);
    const camera = fitted(this.boxes.whole, side, side, letters);
    const [left, top] = [width - side - 8, 8];
    const toScreen = (x, y) => [left + camera.x + x * camera.scale, top + side - camera.y - y * camera.scale];
    context.fillStyle = "rgb(255 255 255 / 0.85)";
    context.fillRect(left, top, side, side);
    drawSmall(context, this.shown, toScreen, 0.8 * letters);
  }

  /** The cross begins on the most stressed place, else in the middle, in pixels. */
  start() {
    const { ring } = this.shown ?? {};
    const middle = [this.width / 2, this.height / 2];
    if (!ring) return middle;
    const camera = this.cameraNow(this.width, this.height, 0);
    const place = [camera.x + ring[0] * camera.scale, this.height - camera.y - ring[1] * camera.scale];
    const isOn = place[0] > 0 && place[1] > 0 && place[0] < this.width && place[1] < this.height;
    return isOn ? place : middle;
  }

  /** Tells what is under a place of the stage in pixels, null for none. */
  point(x, y, byKeys) {
    this.cross = byKeys && x !== null ? { x, y } : null;
    const text = x === null || !this.shown ? "" : this.wordsAt(x, y);
    if (text !== this.told) this.tell(text);
    this.told = text;
    this.redraw();
  }

  wordsAt(x, y) {
    const done = this.isBroken ? Math.min(1, (performance.now() - this.brokenAt) / LETTING_GO) : 0;
    const moment = this.momentNow(done);
    const camera = this.cameraNow(this.width, this.height, moment.away);
    const place = [(x - camera.x) / camera.scale, (this.height - y - camera.y) / camera.scale];
    const reach = REACH / camera.scale;
    if (this.look !== "weight") return tellLoaded(this.shown, this.look, ...place, reach);
    if (this.isBroken) return tellBroken(this.along, ...place);
    const path = this.along;
    const now = {
      body: standing(path.body, path.body_moved, moment),
      line: path.line?.length ? standing(path.line, path.line_moved, moment) : null,
      gone: path.line?.length ? mixed(path.line_gone, path.line.length / 4, moment) : null,
      cheek: path.cheek?.length ? standing(path.cheek, path.cheek_moved, moment) : [],
      cheekGone: path.cheek?.length ? mixed(path.cheek_gone, path.cheek.length / 2, moment) : [],
    };
    return tellWeighed(path, now, ...place, reach);
  }

  /** A small picture of the shares of strength, as a data address. */
  picture(width, height) {
    if (!this.shown) return "";
    this.small ??= flatPainter();
    const { small, shown } = this;
    small.resize(width, height, 2);
    for (const [name, bytes] of Object.entries(this.tables)) small.table(name, bytes);
    const camera = fitted(this.boxes.whole, width, height, 18);
    for (const [name, layer] of Object.entries(this.layers)) small.put(name, layer);
    small.draw(loadedItems("strength", 4, 1), camera, STILL);
    const context = small.canvas.getContext("2d");
    context.save();
    context.setTransform(2, 0, 0, 2, 0, 0);
    const toScreen = (x, y) => [camera.x + x * camera.scale, height - camera.y - y * camera.scale];
    drawLoad(context, shown, toScreen, 15);
    if (shown.ring) drawRing(context, toScreen(...shown.ring), 9);
    context.globalCompositeOperation = "destination-over";
    context.fillStyle = "#ffffff";
    context.fillRect(0, 0, width, height);
    context.restore();
    return small.canvas.toDataURL("image/png");
  }

  forget() {
    cancelAnimationFrame(this.asked);
    this.sizes.disconnect();
    this.deaf();
    this.painter.forget();
    this.small?.forget();
    this.element.replaceChildren();
    this.element.classList.remove("corner-drawing", "is-wide");
  }
}

/** A close view with every piece as far on as it is moved. */
function partedClose({ low, high }, broken) {
  const [xs, ys] = [0, 1].map((side) => broken.map(({ move }) => move[side]));
  return {
    low: [low[0] + Math.min(0, ...xs), low[1] + Math.min(0, ...ys)],
    high: [high[0] + Math.max(0, ...xs), high[1] + Math.max(0, ...ys)],
  };
}

/** The number of the corner of wood nearest to a place. */
function nearestCorner(body, [x, y]) {
  let [best, least] = [0, Infinity];
  for (let start = 0; start < body.length; start += 2) {
    const away = (body[start] - x) ** 2 + (body[start + 1] - y) ** 2;
    if (away < least) [best, least] = [start / 2, away];
  }
  return best;
}
