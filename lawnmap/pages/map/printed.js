/* The map as one drawing for paper: it grows with the sheet, whatever size the window has. */

const PAPER_WIDE = 1000; // units of the drawing
const PAPER_HIGH = 1250; // at most
const PAPER_EDGE = 24;
const PAPER_FOOT = 56; // room for the scale bar
const PAPER_PIXEL = 1.25; // units of a pixel's width of line
const PAPER_OUTLINE = 1.6; // of zones, at most
const THINNEST = 0.35;

function printedMap(map, data, drawn) {
  const fit = paperFit(map, drawn.whole);
  const keeper = roomKeeper([0, 0, PAPER_WIDE, fit.high - PAPER_FOOT]);
  const layers = [];
  map.eachLayer((layer) => layers.push(layer));
  const pictures = layers.filter((each) => each instanceof L.ImageOverlay);
  const shapes = layers.filter((each) => each instanceof L.Polyline && !isZone(each));
  const sides = shapes.filter((each) => each.options.pane === "before");
  const parts = shapes.filter((each) => each.options.pane !== "before");
  const badges = layers.filter((each) => each instanceof L.Marker && !isNumber(each));
  const numbers = paperNumbers(data, fit, keeper);
  const under = pictures.filter((each) => each.options.pane === "pictures");
  const over = pictures.filter((each) => each.options.pane !== "pictures");
  return svgElement(
    "svg",
    { class: "printed", viewBox: `0 0 ${PAPER_WIDE} ${fit.high.toFixed(0)}`, role: "img" },
    ...under.map((each) => paperPicture(each, fit)),
    ...paperZones(data, drawn, fit),
    ...sides.map((each) => paperShape(each, fit)),
    ...over.map((each) => paperPicture(each, fit)),
    ...parts.map((each) => paperShape(each, fit)),
    ...badges.map((each) => paperBadge(each, fit, keeper)).filter(Boolean),
    ...numbers,
    paperScale(map, fit),
    paperNorth(fit),
  );
}

function isZone(layer) {
  return layer.options.className === "zone" || layer.options.pane === "chosen";
}

function isNumber(layer) {
  return layer.options.icon.options.className === "number";
}

/* How places on the earth become units of the drawing: north up, all zones inside the edges. */
function paperFit(map, whole) {
  const zoom = map.getZoom();
  const from = map.project(whole.getNorthWest(), zoom);
  const size = map.project(whole.getSouthEast(), zoom).subtract(from);
  const scale = Math.min(
    (PAPER_WIDE - 2 * PAPER_EDGE) / Math.max(size.x, 1e-6),
    (PAPER_HIGH - 2 * PAPER_EDGE - PAPER_FOOT) / Math.max(size.y, 1e-6),
  );
  const left = (PAPER_WIDE - size.x * scale) / 2;
  const middle = map.project(whole.getCenter(), zoom);
  const apart = map.distance(
    map.unproject(middle, zoom),
    map.unproject(middle.add([100 / scale, 0]), zoom),
  );
  return {
    high: size.y * scale + 2 * PAPER_EDGE + PAPER_FOOT,
    metre: 100 / apart, // in units
    place: function (at) {
      const here = map.project(at, zoom).subtract(from);
      return [here.x * scale + left, here.y * scale + PAPER_EDGE];
    },
  };
}

/* Rings or lines of places, however deep they are nested. */
function paperPath(corners, fit, end) {
  const [first] = corners;
  if (!first) {
    return "";
  }
  return first instanceof L.LatLng || typeof first[0] === "number"
    ? `M${corners.map((at) => paperPlace(at, fit)).join(" ")}${end}`
    : corners.map((each) => paperPath(each, fit, end)).join("");
}

function paperPlace(at, fit) {
  const [x, y] = fit.place(at);
  return `${x.toFixed(1)} ${y.toFixed(1)}`;
}

/* Zones that look alike are one path, so that ten thousand print as fast as ten. */
function paperZones(data, drawn, fit) {
  const alike = new Map();
  data.zones.forEach(function (zone, place) {
    const look = drawn.looks(place);
    const key = `${look.fill} ${look.opacity}`;
    if (!alike.has(key)) {
      alike.set(key, { ...look, place: alike.size, parts: [] });
    }
    alike.get(key).parts.push(paperPath(zone.areas, fit, "z"));
  });
  const radii = data.zones.map((zone) => zone.radius).sort((one, other) => one - other);
  const usual = radii[Math.floor(radii.length / 2)] * fit.metre;
  const line = Math.min(PAPER_OUTLINE, Math.max(0.1, usual / 12)); // thin beside what it encloses
  const size = { wide: PAPER_WIDE, high: fit.high };
  return [...alike.values()].flatMap((each) => hatchedZones(each, each.parts.join(""), size, line));
}

function paperPicture(layer, fit) {
  const bounds = layer.getBounds();
  const [west, north] = fit.place(bounds.getNorthWest());
  const [east, south] = fit.place(bounds.getSouthEast());
  return svgElement("image", {
    href: layer.getElement().src,
    x: west.toFixed(1),
    y: north.toFixed(1),
    width: (east - west).toFixed(1),
    height: (south - north).toFixed(1),
    preserveAspectRatio: "none",
    opacity: layer.options.opacity,
  });
}

function paperShape(layer, fit) {
  const { options } = layer;
  const closed = layer instanceof L.Polygon;
  return svgElement("path", {
    d: paperPath(layer.getLatLngs(), fit, closed ? "z" : ""),
    fill: closed && options.fill !== false && options.fillColor ? options.fillColor : "none",
    "fill-opacity": options.fillOpacity,
    "fill-rule": "evenodd",
    stroke: options.color,
    "stroke-opacity": options.opacity,
    "stroke-linejoin": "round",
    ...paperStroke(options.look || options, fit),
  });
}

/* Width and dashes: as on the screen, but no wider than the ground that the line stands for. */
function paperStroke({ weight, ground, dashArray }, fit) {
  const wide = Math.min(weight * PAPER_PIXEL, (ground || Infinity) * fit.metre);
  const dashes = dashArray ? String(dashArray).split(/[ ,]+/) : [];
  return {
    "stroke-width": Math.max(THINNEST, wide).toFixed(2),
    "stroke-dasharray": dashes.map((each) => each * PAPER_PIXEL).join(" ") || null,
  };
}

function paperNumbers(data, fit, keeper) {
  const all = data.zones.length <= NUMBERED_ALL;
  const found = [];
  data.zones.forEach(function (zone) {
    const label = String(zone.number);
    const half = 9 + 6 * label.length;
    const [x, y] = fit.place(zone.at);
    if (all || zone.radius * fit.metre >= half) {
      keeper.take(x, y, half, 15);
      found.push(paperWord(x, y, label, { half: half, tall: 15, round: 15, size: 21, line: INK }));
    }
  });
  return found;
}

/* A feature's letter always stands, aside if need be; a word of a layer where there is room. */
function paperBadge(layer, fit, keeper) {
  const shown = layer.options.icon.options.html;
  const text = shown && shownText(shown);
  if (!text) {
    return null;
  }
  const ofLayer = shown.classList.contains("layer-mark");
  const size = ofLayer ? 14 : 16;
  const half = Math.max(10, 5 + text.length * size * 0.3);
  const [x, y] = fit.place(layer.getLatLng());
  const aside = ofLayer
    ? keeper.find(x, y, half, 10, ASIDE_ALONE)
    : letterAside(keeper, x, y, half, LETTER_ASIDE);
  if (!aside) {
    return null;
  }
  const line = shown.style.borderColor || shown.style.color || INK;
  const [to, below] = [x + aside[0], y + aside[1]];
  const word = paperWord(to, below, text, { half: half, tall: 10, round: 4, size: size, line: line });
  return ofLayer || (to === x && below === y) ? word : svgElement("g", {}, paperStem([x, y], [to, below], line), word);
}

/* The line from a letter that stands aside to its place. */
function paperStem([x, y], [to, below], colour) {
  const d = `M${x.toFixed(1)} ${y.toFixed(1)}L${to.toFixed(1)} ${below.toFixed(1)}`;
  return svgElement("path", { d: d, stroke: colour, "stroke-width": 1.5 });
}

function paperWord(x, y, text, { half, tall, round, size, line }) {
  const box = svgElement("rect", {
    x: (x - half).toFixed(1),
    y: (y - tall).toFixed(1),
    width: (2 * half).toFixed(1),
    height: 2 * tall,
    rx: round,
    fill: "#ffffff",
    stroke: line,
    "stroke-width": 1.5,
  });
  const place = { x: x.toFixed(1), y: (y + size * 0.36).toFixed(1) };
  const type = { "font-size": size, "font-weight": "bold", "text-anchor": "middle", fill: INK };
  return svgElement("g", {}, box, svgElement("text", { ...place, ...type }, text));
}

/* A bar of a round length, about a fifth of the width, in metres or in feet. */
function paperScale(map, fit) {
  const feet = document.body.dataset.units !== "metric";
  const unit = fit.metre * (feet ? 0.3048 : 1);
  const wanted = PAPER_WIDE / 5 / unit;
  const step = 10 ** Math.floor(Math.log10(wanted));
  const length = step * [5, 2, 1].find((each) => step * each <= wanted);
  const long = (length * unit).toFixed(1);
  const label = `${Number(length.toPrecision(3))} ${feet ? "ft" : "m"}`;
  return svgElement(
    "g",
    { transform: `translate(${PAPER_EDGE} ${(fit.high - 34).toFixed(0)})`, fill: INK },
    svgElement("rect", { x: -8, y: -8, width: Number(long) + 90, height: 30, rx: 4, fill: "#ffffff" }),
    svgElement("path", { d: `M0 0v12h${long}v-12`, fill: "none", stroke: INK, "stroke-width": 2.5 }),
    svgElement("text", { x: Number(long) + 10, y: 13, "font-size": 20 }, label),
  );
}

function paperNorth(fit) {
  const arrow = document.querySelector("svg.north > *");
  if (!arrow) {
    return "";
  }
  const place = `translate(${PAPER_WIDE - 52} ${(fit.high - 72).toFixed(0)})`;
  const ground = svgElement("rect", { width: 36, height: 60, rx: 4, fill: "#ffffff" });
  return svgElement("g", { transform: place }, ground, arrow.cloneNode(true));
}
