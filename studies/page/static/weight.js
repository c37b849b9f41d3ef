/** The weight on the corner: a slider from nothing to the break, with what the class hears marked above it. */

const RISING = 6000; // ms that Play takes to the break
const WORDS = { play: "Play", pause: "Pause", label: "weight", waiting: "follows once the path is known" };

/**
 * A slider for the weight inside an element.
 * @param {HTMLElement} element
 * @param {{moved: function(number): void}} given - hears the share of the load at the break, 0 to 1
 * @returns {object} show(path), empty(), play(), forget()
 */
export function weightBar(element, { moved }) {
  const made = built(element);
  const { slider, said, button } = made;
  const ended = new AbortController();
  let path = null;
  let asked = 0;

  const label = (share) => {
    const stops = path?.stops ?? [];
    return stops[Math.round(share * (stops.length - 1))] ?? "";
  };
  const tell = () => {
    const share = Number(slider.value) / 100;
    const text = path ? label(share) : "";
    slider.setAttribute("aria-valuetext", text || WORDS.waiting);
    slider.style.setProperty("--share", String(share));
    said.textContent = text;
  };
  const take = (share) => {
    slider.value = String(100 * share);
    tell();
    moved(share);
  };
  const call = (name) => {
    made.force.textContent = name ?? "";
    slider.setAttribute("aria-label", name || WORDS.label);
  };
  const pause = () => {
    cancelAnimationFrame(asked);
    asked = 0;
    button.textContent = WORDS.play;
  };
  const play = () => {
    if (!path || asked) return;
    const from = Number(slider.value) >= 100 ? 0 : Number(slider.value) / 100;
    const begun = performance.now();
    button.textContent = WORDS.pause;
    const step = (now) => {
      const share = Math.min(1, from + Math.max(0, now - begun) / RISING);
      asked = share < 1 ? requestAnimationFrame(step) : 0;
      if (share >= 1) pause();
      take(share);
    };
    asked = requestAnimationFrame(step);
  };
  const toggle = () => (asked ? pause() : play());

  slider.addEventListener("input", () => {
    pause();
    take(Number(slider.value) / 100);
  }, { signal: ended.signal });
  button.addEventListener("click", toggle, { signal: ended.signal });
  element.addEventListener("keydown", (event) => {
    // On the button the browser itself makes a click of it.
    if (event.key !== " " || event.target === button) return;
    event.preventDefault();
    toggle();
  }, { signal: ended.signal });
  const sizes = new ResizeObserver(() => setApart(made.marks));
  sizes.observe(made.marks);

  const bar = {
    show(given) {
      pause();
      path = given;
      slider.disabled = button.disabled = false;
      slider.value = "0";
      call(path.force_words);
      showMarks(made.marks, path);
      setApart(made.marks);
      tell();
    },
    empty() {
      pause();
      path = null;
      slider.disabled = button.disabled = true;
      slider.value = "0";
      call("");
      made.force.textContent = WORDS.waiting;
      made.marks.replaceChildren();
      tell();
    },
    play,
    forget() {
      pause();
      ended.abort();
      sizes.disconnect();
      element.replaceChildren();
      element.classList.remove("weight-bar");
    },
  };
  bar.empty();
  return bar;
}

function built(element) {
  element.classList.add("weight-bar");
  const make = (kind, name, ...inside) => {
    const part = document.createElement(kind);
    part.className = name;
    part.append(...inside);
    return part;
  };
  const slider = make("input", "weight-slider");
  Object.assign(slider, { type: "range", min: "0", max: "100", step: "0.5", value: "0" });
  const said = make("span", "weight-said"); // not live: the slider says it
  const force = make("span", "weight-force");
  const button = make("button", "weight-play");
  button.type = "button";
  button.textContent = WORDS.play;
  const marks = make("div", "weight-marks");
  const track = make("div", "weight-track", marks, slider);
  const words = make("div", "weight-words", said, force);
  element.append(button, track, words);
  return { slider, said, force, button, marks, track };
}

function showMarks(marks, path) {
  const wanted = [...(path.marks ?? [])];
  if (path.stand_clear) {
    const { share, text, name = "stand clear from" } = path.stand_clear;
    wanted.push({ share, name: text.startsWith(name) ? "" : name, text, warns: true });
  }
  wanted.sort((one, other) => one.share - other.share);
  marks.replaceChildren(...wanted.filter(({ share }) => share <= 1.0001).map(({ share, name, text, warns }) => {
    const mark = document.createElement("div");
    mark.className = warns ? "weight-mark warns" : "weight-mark";
    mark.style.setProperty("--share", String(share));
    const words = document.createElement("span");
    words.textContent = name ? `${name} ${text}` : text;
    mark.append(words);
    return mark;
  }));
}

/** Raises the words of marks that would run into each other, the further on the higher. */
function setApart(marks) {
  const width = marks.clientWidth;
  const placed = [];
  let most = 0;
  for (const mark of marks.children) {
    const words = mark.firstChild;
    const wide = words.offsetWidth;
    const at = Number(mark.style.getPropertyValue("--share")) * width;
    // Words end at their own mark, so that they never lie across the stalk of one further on.
    const left = Math.max(0, at - wide + 3);
    const under = placed.filter((other) => Math.max(other.at, other.right) + 10 > left);
    const row = under.reduce((highest, other) => Math.max(highest, other.row + 1), 0);
    placed.push({ at, right: left + wide, row });
    most = Math.max(most, row);
    mark.style.setProperty("--row", String(row));
    words.style.setProperty("--shift", `${left - at}px`);
  }
  marks.style.setProperty("--rows", String(most + 1));
}
