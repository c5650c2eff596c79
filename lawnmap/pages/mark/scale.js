/* Ratings by eye: a picture, words and figures for each class of moss and of thatch.

   The pictures are our own and come out the same each time. Light and dark alone tell them apart,
   so they can be read in black and white. */

import { draw, make, radios } from "./form_parts.js";
import { columnName, word } from "./form_words.js";

/* What is drawn for a class: a share of the ground, or a depth [mm], from within the class. */
const MOSS_DRAWN = [0, 0.03, 0.15, 0.38, 0.63, 0.9];
const THATCH_DRAWN = [3, 10, 16, 22, 33];
const MEASURED = { moss_rating: "moss_cover_pct", thatch_rating: "thatch_mm" };

const SIDE = 70; // of a patch of turf
const CELLS = 28; // a side, each moss or grass
const MM = 1.6; // of the drawing to one mm of a core
const TOP = 26; // where the soil of a level lawn begins without thatch
const DEEP = 48; // mm of a core that are shown
const drawn = new Map();

/* A class's picture: turf from above for moss, a core from the side for thatch. */
export function picture(scale, value) {
  const key = `${scale} ${value}`;
  if (!drawn.has(key)) {
    drawn.set(key, scale === "moss_rating" ? turf(MOSS_DRAWN[value]) : core(THATCH_DRAWN[value]));
  }
  return drawn.get(key).cloneNode(true);
}

/* A class in words, as in "3 much". */
export function inWords(scales, scale, value) {
  if (value === undefined || value === null) {
    return word("not_rated");
  }
  const entry = (scales[scale] || []).find((each) => each.value === value);
  return entry ? `${value} ${entry.word}` : String(value);
}

/* Radio buttons with pictures. pick(value) is called with a class, or undefined for "not rated". */
export function scale(scales, name, pick, legend = columnName(name)) {
  const options = (scales[name] || []).map((entry) => ({
    value: entry.value,
    body: make(
      "span",
      { class: "class" },
      picture(name, entry.value),
      make("span", { class: "word" }, make("b", {}, String(entry.value)), ` ${entry.word}`),
      entry.says ? make("span", { class: "says" }, entry.says) : null,
    ),
  }));
  options.push({ value: null, body: make("span", { class: "none" }, word("not_rated")) });
  const settle = (value) => pick(value === null ? undefined : value);
  const group = radios(legend, options, settle, { class: `scale ${name}` });
  group.node.append(make("p", { class: "hint" }, hint(name)));
  group.node.addEventListener("keydown", (event) => {
    const wanted = asked(event, options);
    if (wanted !== undefined) {
      event.preventDefault();
      group.show(wanted);
      group.focus();
      settle(wanted);
    }
  });
  // Shown undefined, the scale is at "not rated"; with none() no button is on.
  return {
    ...group,
    show: (value) => group.show(value ?? null),
    none: () => group.show(undefined),
  };
}

export function measuredName(name) {
  return MEASURED[name];
}

function hint(name) {
  return name === "thatch_rating" ? `${word("tick")} ${word("digits")}` : word("digits");
}

function asked(event, options) {
  if (event.ctrlKey || event.metaKey || event.altKey) {
    return undefined;
  }
  if (event.key === "Delete" || event.key === "Backspace") {
    return null;
  }
  const digit = /^[0-9]$/.test(event.key) ? Number(event.key) : undefined;
  return options.some((option) => option.value === digit) ? digit : undefined;
}

/* The same row of numbers from 0 to 1 for the same start. */
function dice(start) {
  let state = start;
  return () => {
    state = (Math.imul(state, 1103515245) + 12345) >>> 0;
    return (state >>> 8) / 2 ** 24;
  };
}

function canvas(width, height, scale, ...children) {
  const given = { class: `picture ${scale}`, viewBox: `0 0 ${width} ${height}` };
  return draw("svg", { ...given, "aria-hidden": "true", focusable: "false" }, ...children);
}

/* Turf from above: short blades, and moss over the given share of the cells. */
function turf(share) {
  const roll = dice(7);
  const blades = Array.from({ length: 210 }, () => {
    const [x, y, turn] = [2 + roll() * (SIDE - 4), 2 + roll() * (SIDE - 4), roll() * Math.PI];
    return `M${at(x)} ${at(y)}l${at(Math.cos(turn) * 5)} ${at(Math.sin(turn) * 5)}`;
  });
  const cells = mossCells(share);
  const size = SIDE / CELLS;
  const radius = size * 0.62; // a little more than touching, so that cells grow together
  const clumps = cells.map(([x, y]) => circle((x + 0.5) * size, (y + 0.5) * size, radius));
  const glints = cells
    .filter(([x, y]) => (x * 5 + y * 3) % 7 === 0)
    .map(([x, y]) => circle((x + 0.5) * size, (y + 0.5) * size, 0.55));
  return canvas(
    SIDE,
    SIDE,
    "moss",
    draw("rect", { x: 0, y: 0, width: SIDE, height: SIDE, class: "ground" }),
    draw("path", { d: blades.join(""), class: "blades" }),
    draw("path", { d: clumps.join(""), class: "clumps" }),
    draw("path", { d: glints.join(""), class: "glints" }),
    draw("rect", { x: 0.5, y: 0.5, width: SIDE - 1, height: SIDE - 1, class: "frame" }),
  );
}

/* The cells that are moss: those nearest to some middles, so that patches grow with the share. */
function mossCells(share) {
  const roll = dice(23);
  const middles = Array.from({ length: 9 }, () => [roll() * CELLS, roll() * CELLS, roll() * 4]);
  const cells = [];
  for (let y = 0; y < CELLS; y += 1) {
    for (let x = 0; x < CELLS; x += 1) {
      const far = middles.map(([mx, my, less]) => Math.hypot(x - mx, y - my) + less);
      cells.push([x, y, Math.min(...far) + roll() * 1.2]);
    }
  }
  cells.sort((one, other) => one[2] - other[2]);
  return cells.slice(0, Math.round(share * cells.length));
}

/* A core from the side: grass, the brown layer as thick as its class, soil, ticks each 10 mm. */
function core(thick) {
  const roll = dice(11);
  const [left, wide] = [8, 48];
  const base = TOP + thick * MM;
  const foot = TOP + DEEP * MM;
  const blades = Array.from({ length: 26 }, (_, n) => {
    const x = left + 1 + (n * (wide - 2)) / 25;
    return `M${at(x)} ${TOP}l${at(roll() * 6 - 3)} ${at(-9 - roll() * 13)}`;
  });
  const fibres = Array.from({ length: Math.round(thick * 2.2) }, () => {
    const [x, y] = [left + 2 + roll() * (wide - 16), TOP + 2 + roll() * (thick * MM - 3)];
    return `M${at(x)} ${at(y)}l${at(6 + roll() * 6)} ${at(roll() * 2 - 1)}`;
  });
  const stones = Array.from({ length: 34 }, () => {
    const [x, y] = [left + 3 + roll() * (wide - 6), base + 3 + roll() * (foot - base - 6)];
    return circle(x, y, 0.5 + roll() * 0.9);
  });
  const ticks = Array.from({ length: 5 }, (_, n) => {
    return `M${left + wide + 3} ${at(TOP + n * 10 * MM)}h${n ? 6 : 10}`;
  });
  return canvas(
    SIDE,
    foot + 2,
    "thatch",
    draw("rect", { x: left, y: TOP, width: wide, height: foot - TOP, class: "soil" }),
    draw("path", { d: stones.join(""), class: "stones" }),
    draw("rect", { x: left, y: TOP, width: wide, height: base - TOP, class: "layer" }),
    draw("path", { d: fibres.join(""), class: "fibres" }),
    draw("path", { d: blades.join(""), class: "blades" }),
    draw("rect", { x: left, y: TOP, width: wide, height: foot - TOP, class: "frame" }),
    draw("path", { d: ticks.join(""), class: "ticks" }),
  );
}

function circle(x, y, radius) {
  const [across, half] = [at(2 * radius), at(radius)];
  const arc = `a${half} ${half} 0 1 0`;
  return `M${at(x - radius)} ${at(y)}${arc} ${across} 0${arc} -${across} 0z`;
}

function at(number) {
  return String(Math.round(number * 100) / 100);
}
