/** Painter on a plain canvas, for browsers without WebGL2: fills triangles itself, so that colours are the same. */

const MOST_RATIO = 2; // pixels of the screen to one of the page that are filled by hand

/**
 * A painter on a canvas of its own, with the interface of `glPainter`.
 * @returns {object} `canvas`, resize(width, height, ratio), table(name, bytes), put(name, layer), drop(name),
 *   draw(items, camera, moment), forget()
 */
export function flatPainter() {
  const canvas = document.createElement("canvas");
  const context = canvas.getContext("2d");
  const aside = document.createElement("canvas");
  const layers = new Map();
  const tables = new Map();
  let ratio = 1;
  let sheet = null;

  return {
    canvas,
    name: "flat",
    resize(width, height, wanted) {
      ratio = Math.min(MOST_RATIO, wanted);
      canvas.width = aside.width = Math.max(1, Math.round(width * ratio));
      canvas.height = aside.height = Math.max(1, Math.round(height * ratio));
      sheet = null;
    },
    table(name, bytes) {
      const padded = new Uint8Array(bytes);
      tables.set(name, { bytes: padded, words: new Uint32Array(padded.buffer) });
    },
    put(name, layer) {
      layers.set(name, layer);
    },
    drop(name) {
      layers.delete(name);
    },
    draw(items, camera, moment) {
      const view = { scale: camera.scale * ratio, x: camera.x * ratio, y: canvas.height - camera.y * ratio, ratio };
      context.clearRect(0, 0, canvas.width, canvas.height);
      for (const item of items) {
        const layer = layers.get(item.layer);
        if (!layer || !layer.count) continue;
        const shown = placed(layer, view, moment);
        const colours = tables.get(item.table ?? "strength");
        if (layer.kind === "faces") {
          sheet ??= context.createImageData(canvas.width, canvas.height);
          const words = new Uint32Array(sheet.data.buffer);
          words.fill(0);
          fillFaces(words, canvas.width, canvas.height, shown, layer.count, item, colours);
          const brush = aside.getContext("2d");
          brush.putImageData(sheet, 0, 0);
          context.drawImage(aside, 0, 0);
        } else if (layer.kind === "strips") {
          drawStrips(context, shown, layer.count, item, colours, ratio);
        } else {
          drawDots(context, shown, layer.count, item, colours, ratio);
        }
      }
    },
    forget() {
      layers.clear();
      tables.clear();
      canvas.remove();
    },
  };
}

/** Places in pixels from the upper left, and values, of a layer at a moment. */
function placed(layer, view, moment) {
  const wide = layer.kind === "strips" ? 4 : 2;
  const { places, moved, values, apart, count } = layer;
  const numbers = wide * count;
  const frames = moved ? moved.length / numbers : 1;
  const [now, next] = [moment.frame, moment.frame + 1].map((frame) => Math.min(frame, frames - 1) * numbers);
  const shown = new Float32Array(numbers);
  for (let index = 0; index < numbers; index += 1) {
    let at = places[index];
    if (moved) {
      const from = moved[now + index];
      at += moment.magnification * (from + moment.part * (moved[next + index] - from));
    }
    if (apart) at += moment.away * apart[2 * Math.floor(index / wide) + (index % 2)];
    shown[index] = index % 2 ? view.y - at * view.scale : view.x + at * view.scale;
  }
  return { shown, values: valuesAt(values, count, moment) };
}

function valuesAt(values, count, moment) {
  if (!values || values.length === count) return values;
  const frames = values.length / count;
  const [now, next] = [moment.frame, moment.frame + 1].map((frame) => Math.min(frame, frames - 1) * count);
  return Float32Array.from({ length: count }, (_, index) => {
    return values[now + index] + moment.part * (values[next + index] - values[now + index]);
  });
}

/** Fills every pixel whose middle lies in a triangle, its value mixed from the three corners. */
function fillFaces(words, width, height, { shown, values }, count, item, colours) {
  const low = item.low ?? 0;
  const last = colours.words.length - 1;
  const stretch = last / ((item.high ?? 1) - low);
  const plain = item.table ? 0 : packedColour(item.colour);
  for (let corner = 0; corner < count; corner += 3) {
    const start = 2 * corner;
    const [x1, y1, x2, y2, x3, y3] = [
      shown[start], shown[start + 1], shown[start + 2], shown[start + 3], shown[start + 4], shown[start + 5],
    ];
    const whole = (x2 - x1) * (y3 - y1) - (x3 - x1) * (y2 - y1);
    if (!whole) continue;
    const left = Math.max(0, Math.ceil(Math.min(x1, x2, x3) - 0.5));
    const right = Math.min(width - 1, Math.floor(Math.max(x1, x2, x3) - 0.5));
    const top = Math.max(0, Math.ceil(Math.min(y1, y2, y3) - 0.5));
    const bottom = Math.min(height - 1, Math.floor(Math.max(y1, y2, y3) - 0.5));
    const [second, third] = [(y3 - y1) / whole, -(y2 - y1) / whole];
    const [v1, v2, v3] = values ? [values[corner], values[corner + 1], values[corner + 2]] : [0, 0, 0];
    for (let y = top; y <= bottom; y += 1) {
      const dy = y + 0.5 - y1;
      let b = (left + 0.5 - x1) * second - ((x3 - x1) / whole) * dy;
      let c = (left + 0.5 - x1) * third + ((x2 - x1) / whole) * dy;
      for (let x = left; x <= right; x += 1, b += second, c += third) {
        if (b < -1e-5 || c < -1e-5 || b + c > 1.00001) continue;
        if (!item.table) words[y * width + x] = plain;
        else {
          const place = Math.round((v1 + b * (v2 - v1) + c * (v3 - v1) - low) * stretch);
          words[y * width + x] = colours.words[place < 0 ? 0 : place > last ? last : place];
        }
      }
    }
  }
}

function drawStrips(context, { shown, values }, count, item, colours, ratio) {
  context.lineCap = "butt";
  context.lineWidth = (item.width ?? 1) * ratio;
  const longer = (item.longer ?? 0) * ratio;
  context.strokeStyle = item.table ? "" : styled(item.colour);
  context.beginPath();
  for (let index = 0; index < count; index += 1) {
    const [x1, y1, x2, y2] = shown.subarray(4 * index, 4 * index + 4);
    const far = Math.hypot(x2 - x1, y2 - y1) || 1;
    const [dx, dy] = [(longer * (x2 - x1)) / far, (longer * (y2 - y1)) / far];
    if (item.table) {
      context.beginPath();
      context.strokeStyle = tabled(values ? values[index] : 0, item, colours);
    }
    context.moveTo(x1 - dx, y1 - dy);
    context.lineTo(x2 + dx, y2 + dy);
    if (item.table) context.stroke();
  }
  if (!item.table) context.stroke();
}

function drawDots(context, { shown, values }, count, item, colours, ratio) {
  for (let index = 0; index < count; index += 1) {
    context.fillStyle = item.table ? tabled(values ? values[index] : 0, item, colours) : styled(item.colour);
    context.beginPath();
    context.arc(shown[2 * index], shown[2 * index + 1], ((item.width ?? 1) * ratio) / 2, 0, 2 * Math.PI);
    context.fill();
  }
}

function tabled(value, item, { bytes }) {
  const low = item.low ?? 0;
  const last = bytes.length / 4 - 1;
  const place = Math.round(((value - low) / ((item.high ?? 1) - low)) * last);
  const start = 4 * Math.min(last, Math.max(0, place));
  return `rgb(${bytes[start]} ${bytes[start + 1]} ${bytes[start + 2]})`;
}

function styled([red, green, blue, alpha]) {
  return `rgb(${255 * red} ${255 * green} ${255 * blue} / ${alpha})`;
}

/** A colour as the four bytes of a pixel lie in memory. */
function packedColour(colour) {
  return new Uint32Array(new Uint8Array(colour.map((part) => Math.round(255 * part))).buffer)[0];
}
