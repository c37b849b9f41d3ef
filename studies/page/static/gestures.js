/** Pointer, wheel and keys on the stage of the drawing; nothing is listened to outside it. */

const STEP = 24; // pixels that an arrow key moves the crosshair
const TAP = 6; // pixels within which a pointer has not been dragged

/**
 * Listens on a stage.
 * @param {HTMLElement} stage
 * @param {object} on - zoom(times, x, y), drag(dx, dy) with y upwards; isClose(); reset(); start(): where the cross
 *   begins; point(x, y, byKeys) from the upper left; leave(); all in pixels
 * @returns {function(): void} ends it
 */
export function listen(stage, on) {
  const pointers = new Map();
  const cross = { x: null, y: null };
  const ended = new AbortController();
  const hear = (what, then, more = {}) => stage.addEventListener(what, then, { signal: ended.signal, ...more });
  const here = (event) => {
    const box = stage.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  };
  const zoom = (times, x, y) => on.zoom(times, x, stage.clientHeight - y);

  hear("pointerdown", (event) => {
    pointers.set(event.pointerId, { ...here(event), from: here(event) });
    stage.setPointerCapture(event.pointerId);
  });
  hear("pointermove", (event) => {
    const now = here(event);
    const held = pointers.get(event.pointerId);
    if (!held) return void on.point(now.x, now.y, false);
    const before = { x: held.x, y: held.y };
    Object.assign(held, now);
    if (pointers.size === 1) on.drag(now.x - before.x, before.y - now.y);
    else if (pointers.size === 2) pinch([...pointers.values()], held, before);
  });
  const pinch = ([one, two], moved, before) => {
    const other = moved === one ? two : one;
    const apart = Math.hypot(moved.x - other.x, moved.y - other.y);
    const was = Math.hypot(before.x - other.x, before.y - other.y);
    if (was > 0) zoom(apart / was, (one.x + two.x) / 2, (one.y + two.y) / 2);
  };
  const release = (event) => {
    const held = pointers.get(event.pointerId);
    pointers.delete(event.pointerId);
    if (event.type === "pointerup" && held && Math.hypot(held.x - held.from.x, held.y - held.from.y) < TAP) {
      on.point(held.x, held.y, false);
    }
  };
  hear("pointerup", release);
  hear("pointercancel", release);
  hear("pointerleave", (event) => !pointers.has(event.pointerId) && event.pointerType === "mouse" && on.leave());
  hear("dblclick", on.reset);
  hear("wheel", (event) => {
    // Where the whole is shown, the page may scroll on.
    if (event.deltaY > 0 && !on.isClose()) return;
    event.preventDefault();
    const { x, y } = here(event);
    zoom(2 ** (-event.deltaY / (event.deltaMode ? 20 : 400)), x, y);
  }, { passive: false });
  hear("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const at = cross.x === null ? on.start() : [cross.x, cross.y];
    const step = event.shiftKey ? STEP / 8 : STEP;
    const move = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[event.key];
    if (move) {
      cross.x = Math.min(stage.clientWidth - 1, Math.max(0, at[0] + move[0]));
      cross.y = Math.min(stage.clientHeight - 1, Math.max(0, at[1] + move[1]));
      on.point(cross.x, cross.y, true);
    } else if (event.key === "0") on.reset();
    else if (event.key === "+" || event.key === "=") zoom(1.4, ...at);
    else if (event.key === "-") zoom(1 / 1.4, ...at);
    else if (event.key === "Escape") on.leave();
    else return;
    event.preventDefault();
  });
  hear("focus", () => {
    if (!stage.matches(":focus-visible")) return;
    [cross.x, cross.y] = cross.x === null ? on.start() : [cross.x, cross.y];
    on.point(cross.x, cross.y, true);
  });
  hear("blur", on.leave);
  return () => ended.abort();
}
