/** One connection to the program: questions with rising numbers out, the newest answers in. */

import { unpack } from "./arrays.js";

const FIRST_WAIT = 500;
const LONGEST_WAIT = 15000;

/**
 * Connects and stays connected: what is lost is tried again by itself, with growing waits.
 * An answer to anything but the newest question of its kind is dropped.
 *
 * @param {URL|string} url address of the socket, ws:
 * @param {{connected: function(): void, lost: function("away"|"refused"): void}} on
 * @returns {{ask: function(string, object=): number, onanswer: ?function(object): void, close: function(): void}}
 *   `ask` returns the number that its answers carry; without a connection nothing is sent.
 */
export function connect(url, on) {
  const newest = new Map();
  const link = { ask, close, onanswer: null };
  let socket = null;
  let number = 0;
  let wait = FIRST_WAIT;
  let timer = 0;
  let closed = false;

  function ask(what, fields = {}) {
    number += 1;
    if (what === "stop") newest.delete(fields.what);
    else newest.set(what, number);
    if (socket && socket.readyState === WebSocket.OPEN) {
      socket.send(JSON.stringify({ ask: what, number, ...fields }));
    }
    return number;
  }

  function hear(event) {
    const answer = typeof event.data === "string" ? JSON.parse(event.data) : unpack(event.data);
    const numbered = typeof answer.number === "number";
    if (numbered && ![...newest.values()].includes(answer.number)) return;
    if (link.onanswer) link.onanswer(answer);
  }

  async function lose() {
    socket = null;
    newest.clear();
    if (closed) return;
    const why = await reason();
    if (closed) return;
    on.lost(why);
    timer = setTimeout(open, wait);
    wait = Math.min(wait * 1.6, LONGEST_WAIT);
  }

  function open() {
    socket = new WebSocket(url);
    socket.binaryType = "arraybuffer";
    socket.onopen = () => {
      wait = FIRST_WAIT;
      on.connected();
    };
    socket.onmessage = hear;
    socket.onclose = lose;
  }

  function close() {
    closed = true;
    clearTimeout(timer);
    if (socket) socket.close();
  }

  open();
  return link;
}

/** Why there is no connection: a socket does not say, a plain request to the same address does. */
async function reason() {
  try {
    const page = await fetch(new URL("./", location.href), { cache: "no-store" });
    return page.ok ? "away" : "refused";
  } catch {
    return "away";
  }
}
