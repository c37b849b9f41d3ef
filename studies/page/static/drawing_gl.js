/** Painter on WebGL2: layers lie in buffers that are written again, frames of a path are mixed by the shader. */

const COMMON = `#version 300 es
precision highp float;
uniform vec3 camera; // pixels a mm, origin
uniform vec2 size; // pixels
uniform float part; // between two frames
uniform float magnification;
uniform float away;
uniform vec2 range; // of values
uniform float halfWidth; // pixels
uniform float longer; // pixels
in float valueNow;
in float valueNext;
in vec2 apart;
out float share;
out vec2 across; // pixels from the middle of a strip or dot
vec4 onScreen(vec2 pixels) { return vec4(2.0 * pixels / size - 1.0, 0.0, 1.0); }
vec2 pixels(vec2 place, vec2 now, vec2 next) {
  vec2 shown = place + magnification * mix(now, next, part) + away * apart;
  return shown * camera.x + camera.yz;
}
void value() { share = (mix(valueNow, valueNext, part) - range.x) / (range.y - range.x); }
`;
const VERTEX = {
  faces: `${COMMON}
in vec2 place; in vec2 movedNow; in vec2 movedNext;
void main() { value(); across = vec2(0.0); gl_Position = onScreen(pixels(place, movedNow, movedNext)); }`,
  strips: `${COMMON}
in vec4 place; in vec4 movedNow; in vec4 movedNext;
void main() {
  value();
  vec2 start = pixels(place.xy, movedNow.xy, movedNext.xy);
  vec2 end = pixels(place.zw, movedNow.zw, movedNext.zw);
  vec2 along = end - start;
  float far = length(along);
  along = far > 0.0 ? along / far : vec2(1.0, 0.0);
  int corner = gl_VertexID % 6;
  bool last = corner == 1 || corner == 3 || corner == 4;
  float side = corner == 2 || corner > 3 ? 1.0 : -1.0;
  vec2 at = last ? end + longer * along : start - longer * along;
  across = vec2(side * (halfWidth + 1.0), 0.0);
  gl_Position = onScreen(at + across.x * vec2(-along.y, along.x));
}`,
  dots: `${COMMON}
in vec2 place; in vec2 movedNow; in vec2 movedNext;
void main() {
  value();
  int corner = gl_VertexID % 6;
  float x = corner == 1 || corner == 3 || corner == 4 ? 1.0 : -1.0;
  float y = corner == 2 || corner > 3 ? 1.0 : -1.0;
  across = (halfWidth + 1.0) * vec2(x, y);
  gl_Position = onScreen(pixels(place, movedNow, movedNext) + across);
}`,
};
const FRAGMENT = `#version 300 es
precision highp float;
uniform sampler2D colours;
uniform float last; // number of the last colour
uniform vec4 plain; // alpha below 0: by the table
uniform float halfWidth;
in float share;
in vec2 across;
out vec4 painted;
void main() {
  vec4 colour = plain;
  if (plain.a < 0.0) colour = texelFetch(colours, ivec2(int(clamp(share, 0.0, 1.0) * last + 0.5), 0), 0);
  colour.a *= clamp(halfWidth + 0.5 - length(across), 0.0, 1.0); // soft edges, since many samples a pixel are slow
  painted = vec4(colour.rgb * colour.a, colour.a);
}`;
const INPUTS = ["place", "movedNow", "movedNext", "valueNow", "valueNext", "apart"];
const SETTINGS = ["camera", "size", "part", "magnification", "away", "range", "halfWidth", "longer", "plain", "last"];

/**
 * A painter on a canvas of its own, or null where the browser has no WebGL2.
 * @param {function(): void} lost - called when the graphics card takes the picture away
 * @returns {object|null} `canvas`, resize(width, height, ratio), table(name, bytes), put(name, layer), drop(name),
 *   draw(items, camera, moment), forget()
 */
export function glPainter(lost) {
  const canvas = document.createElement("canvas");
  const gl = canvas.getContext("webgl2", { antialias: false, alpha: true, premultipliedAlpha: true });
  if (!gl) return null;
  const programs = programsOf(gl);
  if (!programs) return null;
  const layers = new Map();
  const tables = new Map();
  let ratio = 1;
  const onLost = (event) => {
    event.preventDefault();
    lost();
  };
  canvas.addEventListener("webglcontextlost", onLost);
  gl.enable(gl.BLEND);
  gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);

  return {
    canvas,
    name: "gl",
    resize(width, height, wanted) {
      ratio = wanted;
      canvas.width = Math.max(1, Math.round(width * ratio));
      canvas.height = Math.max(1, Math.round(height * ratio));
    },
    table(name, bytes) {
      const texture = tables.get(name)?.texture ?? gl.createTexture();
      tables.set(name, { texture, last: bytes.length / 4 - 1 });
      gl.bindTexture(gl.TEXTURE_2D, texture);
      gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, bytes.length / 4, 1, 0, gl.RGBA, gl.UNSIGNED_BYTE, bytes);
      for (const side of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER]) gl.texParameteri(gl.TEXTURE_2D, side, gl.NEAREST);
      for (const side of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T]) {
        gl.texParameteri(gl.TEXTURE_2D, side, gl.CLAMP_TO_EDGE);
      }
    },
    put(name, layer) {
      const held = layers.get(name) ?? { buffers: {}, sizes: {}, vertices: gl.createVertexArray() };
      layers.set(name, held);
      held.layer = layer;
      for (const [part, numbers] of Object.entries(numbersOf(layer.kind))) {
        const all = layer[part] && (layer.kind === "faces" ? layer[part] : sixfold(layer[part], numbers));
        write(gl, held, part, all);
      }
    },
    drop(name) {
      const held = layers.get(name);
      if (!held) return;
      Object.values(held.buffers).forEach((buffer) => gl.deleteBuffer(buffer));
      gl.deleteVertexArray(held.vertices);
      layers.delete(name);
    },
    draw(items, camera, moment) {
      gl.viewport(0, 0, canvas.width, canvas.height);
      gl.clearColor(0, 0, 0, 0);
      gl.clear(gl.COLOR_BUFFER_BIT);
      for (const item of items) {
        const held = layers.get(item.layer);
        if (!held || !held.layer.count) continue;
        const used = programs[held.layer.kind];
        gl.useProgram(used.program);
        settings(gl, used, item, camera, moment, canvas, ratio);
        const { texture, last } = tables.get(item.table ?? "strength");
        gl.uniform1f(used.at.last, last);
        gl.bindTexture(gl.TEXTURE_2D, texture);
        gl.bindVertexArray(held.vertices);
        inputs(gl, used, held, moment);
        gl.drawArrays(gl.TRIANGLES, 0, cornersOf(held.layer));
      }
      gl.bindVertexArray(null);
    },
    forget() {
      canvas.removeEventListener("webglcontextlost", onLost);
      for (const name of [...layers.keys()]) this.drop(name);
      for (const { texture } of tables.values()) gl.deleteTexture(texture);
      for (const used of Object.values(programs)) gl.deleteProgram(used.program);
      gl.getExtension("WEBGL_lose_context")?.loseContext();
      canvas.remove();
    },
  };
}

/** How many numbers one corner, strip or dot has in each part of a layer. */
function numbersOf(kind) {
  const wide = kind === "strips" ? 4 : 2;
  return { places: wide, moved: wide, values: 1, apart: 2 };
}

function cornersOf({ kind, count }) {
  return kind === "faces" ? count : 6 * count;
}

/** Each entry six times, once for each corner of the two triangles that show it: instances are slow without a card. */
function sixfold(entries, numbers) {
  const all = new Float32Array(6 * entries.length);
  for (let start = 0, to = 0; start < entries.length; start += numbers) {
    for (let corner = 0; corner < 6; corner += 1) {
      for (let number = 0; number < numbers; number += 1, to += 1) all[to] = entries[start + number];
    }
  }
  return all;
}

/** Writes numbers into the buffer there is, and makes a larger one only where they do not fit. */
function write(gl, held, part, numbers) {
  if (!numbers) return;
  held.buffers[part] ??= gl.createBuffer();
  gl.bindBuffer(gl.ARRAY_BUFFER, held.buffers[part]);
  if (numbers.byteLength > (held.sizes[part] ?? 0)) {
    gl.bufferData(gl.ARRAY_BUFFER, numbers, gl.DYNAMIC_DRAW);
    held.sizes[part] = numbers.byteLength;
  } else {
    gl.bufferSubData(gl.ARRAY_BUFFER, 0, numbers);
  }
}

/** A program for each kind of layer; null where the driver cannot make one, so that the plain canvas is used. */
function programsOf(gl) {
  const made = Object.entries(VERTEX).map(([kind, text]) => [kind, program(gl, text)]);
  return made.every(([, one]) => one) ? Object.fromEntries(made) : null;
}

function program(gl, vertexText) {
  const made = gl.createProgram();
  for (const [kind, text] of [[gl.VERTEX_SHADER, vertexText], [gl.FRAGMENT_SHADER, FRAGMENT]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(made, shader);
    gl.deleteShader(shader);
  }
  INPUTS.forEach((name, place) => gl.bindAttribLocation(made, place, name));
  gl.linkProgram(made);
  if (!gl.getProgramParameter(made, gl.LINK_STATUS)) return null;
  return { program: made, at: Object.fromEntries(SETTINGS.map((name) => [name, gl.getUniformLocation(made, name)])) };
}

function settings(gl, { at }, item, camera, moment, canvas, ratio) {
  gl.uniform3f(at.camera, camera.scale * ratio, camera.x * ratio, camera.y * ratio);
  gl.uniform2f(at.size, canvas.width, canvas.height);
  gl.uniform1f(at.part, moment.part);
  gl.uniform1f(at.magnification, moment.magnification);
  gl.uniform1f(at.away, moment.away);
  gl.uniform2f(at.range, item.low ?? 0, item.high ?? 1);
  gl.uniform1f(at.halfWidth, ((item.width ?? 1) * ratio) / 2);
  gl.uniform1f(at.longer, (item.longer ?? 0) * ratio);
  gl.uniform4f(at.plain, ...(item.table ? [0, 0, 0, -1] : item.colour));
}

/** Points the shader at the two frames between which the moment lies: nothing is written while weighing. */
function inputs(gl, used, held, moment) {
  const { layer, buffers } = held;
  const corners = cornersOf(layer);
  const wide = layer.kind === "strips" ? 4 : 2;
  const point = (place, part, numbers, frames, frame) => {
    if (!layer[part]) {
      gl.disableVertexAttribArray(place);
      gl.vertexAttrib4f(place, 0, 0, 0, 0);
      return;
    }
    gl.bindBuffer(gl.ARRAY_BUFFER, buffers[part]);
    gl.enableVertexAttribArray(place);
    gl.vertexAttribPointer(place, numbers, gl.FLOAT, false, 0, 4 * numbers * corners * Math.min(frame, frames - 1));
  };
  const moves = layer.moved ? layer.moved.length / (wide * layer.count) : 1;
  const changes = layer.values ? layer.values.length / layer.count : 1;
  point(0, "places", wide, 1, 0);
  point(1, "moved", wide, moves, moment.frame);
  point(2, "moved", wide, moves, moment.frame + 1);
  point(3, "values", 1, changes, moment.frame);
  point(4, "values", 1, changes, moment.frame + 1);
  point(5, "apart", 2, 1, 0);
}
