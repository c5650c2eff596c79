/* Hatches for paper as lines: a printed pattern is a picture there, too coarse to be read. */

const HATCH_INK = 0.55; // of the lines, more than on the screen since paper may be black and white

/* The zones of one look: their colour, the hatch of their pattern, cut to them, and their outline. */
function hatchedZones(look, data, size, line) {
  const pattern = look.fill.startsWith("url(") && document.getElementById(look.fill.slice(5, -1));
  const colour = pattern ? pattern.querySelector("rect").getAttribute("fill") : look.fill;
  const strokes = pattern && pattern.querySelector("path");
  const path = { d: data, "fill-rule": "evenodd" };
  const ground = svgElement("path", { ...path, fill: colour, "fill-opacity": look.opacity });
  const edge = svgElement("path", { ...path, class: "zone", fill: "none", stroke: INK, "stroke-width": line });
  if (!strokes) {
    return [ground, edge];
  }
  const name = `paper-${look.place}`;
  const inside = svgElement("path", { d: data, "clip-rule": "evenodd" });
  const hatch = svgElement("path", {
    d: hatchLines(strokes.getAttribute("d"), Number(pattern.getAttribute("width")), size),
    "clip-path": `url(#${name})`,
    fill: "none",
    stroke: strokes.getAttribute("stroke"),
    "stroke-width": 1,
    "stroke-linecap": "round",
    "stroke-opacity": HATCH_INK * look.opacity,
  });
  return [svgElement("clipPath", { id: name }, inside), ground, hatch, edge];
}

/* The strokes of a tile over the whole drawing: slanting ones as long lines, the rest tile by tile. */
function hatchLines(strokes, side, { wide, high }) {
  const lines = new Set();
  for (const [, x, y, to] of strokes.matchAll(/M(\S+?) (\S+?)( [^M]*|h[^M]*)/g)) {
    const [left, top] = [Number(x), Number(y)];
    if (to.startsWith("h")) {
      repeated(left, top, side, { wide, high }, (at) => lines.add(`M${at}${to}`));
      continue;
    }
    const rises = Number(to.trim().split(" ")[1]) < top;
    const first = (((rises ? left + top : left - top) % side) + side) % side;
    for (let at = first - (rises ? 0 : high); at < wide + (rises ? high : 0); at += side) {
      lines.add(rises ? `M${at} 0 ${at - high} ${high}` : `M${at} 0 ${at + high} ${high}`);
    }
  }
  return [...lines].join("");
}

function repeated(left, top, side, { wide, high }, add) {
  for (let y = top; y < high; y += side) {
    for (let x = left; x < wide; x += side) {
      add(`${x} ${y}`);
    }
  }
}
