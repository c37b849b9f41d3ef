/** For tests while there is no other: triangles of a corner in a canvas, coloured by share. */

/** @param {HTMLElement} element @returns {object} */
export function cornerDrawing(element) {
  const canvas = document.createElement("canvas");
  canvas.width = canvas.height = 600;
  canvas.style.cssText = "width:100%;height:100%;object-fit:contain";
  canvas.setAttribute("role", "img");
  canvas.setAttribute("aria-label", "the corner");
  element.append(canvas);
  let colours = null;
  let shown = null;
  let weight = 0;
  function draw(answer) {
    shown = answer;
    const context = canvas.getContext("2d");
    const [low, high] = [answer.whole.low, answer.whole.high];
    const size = 560 / Math.max(high[0] - low[0], high[1] - low[1]);
    context.clearRect(0, 0, 600, 600);
    for (let index = 0; index < answer.share.length; index += 3) {
      const share = answer.share[index] * (weight || 1);
      const [r, g, b] = (colours || [[240, 240, 240]])[Math.min(255, Math.round(share * 255))] || [0, 0, 0];
      context.fillStyle = context.strokeStyle = `rgb(${r},${g},${b})`;
      context.beginPath();
      for (const corner of [0, 1, 2]) {
        context.lineTo(
          20 + size * (answer.places[2 * (index + corner)] - low[0]),
          580 - size * (answer.places[2 * (index + corner) + 1] - low[1]),
        );
      }
      context.closePath();
      context.fill();
      context.stroke();
    }
    element.dataset.shows = answer.answer;
    element.dataset.number = answer.number;
  }
  return {
    scale: (given) => {
      colours = given;
    },
    scene: draw,
    path: draw,
    weigh: (share) => {
      weight = share;
      element.dataset.weight = share;
      if (shown) draw(shown);
    },
    broken: (yes) => {
      element.dataset.broken = yes;
    },
    view: (name) => {
      element.dataset.view = name;
    },
    zoom: (name) => {
      element.dataset.zoom = name;
    },
    picture: () => canvas.toDataURL("image/png"),
    steps: () => {},
  };
}
