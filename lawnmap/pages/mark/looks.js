/* How each kind is drawn: the colours of the map page and the sheet (exports/drawing/symbols.py). */

const LOOKS = {
  paving: ["#e3ddd3", "#8b8377"],
  bed: ["#d9c6cf", "#7c5a6b", 1.2, "2 2"],
  building: ["#8f8a83", "#3f3b36"],
  water: ["#a9cfe3", "#1f5f85", 1.6],
  hedge: ["#c9d6bd", "#5f7a4f", 5],
  fence: ["", "#4b4742", 1.6, "1 4"],
  tree: ["#ffffff", "#24302a", 1.4, "4 3"],
  drain: ["", "#1f5f85", 2.2, "6 3"],
  hidden: ["", "#a3341f", 2, "7 3 2 3"],
  access: ["", "#1f2a24", 4],
  supply: ["", "#1f2a24", 1.2],
  core: ["", "#1f2a24", 1.2],
};
const OTHER = ["", "#6b6660", 1.2, "2 3"];
/* What zones are coloured by, as on the map page (exports/drawing/themes.py). */
export const CLASSES = {
  moss_rating: ["#fcf8e3", "#dde5b6", "#b3cb86", "#80a75a", "#4d7d40", "#23502c"],
  thatch_rating: ["#fdf6e4", "#eed7a9", "#d3a968", "#a5713c", "#663b1e"],
};
export const UNRATED = "#ffffff";

export const INK = "#24302a";
export const CHOSEN = "#c2410c";

const NAMES = {
  zone: "zone of lawn", hidden: "hidden in the ground", access: "way in", core: "core sample",
};

/* The letter a point is marked by. */
export function letterOf(kind) {
  return kind === "access" ? "G" : kind[0].toUpperCase(); // a gate, mostly
}

export function kindName(kind) {
  return NAMES[kind] || kind.replaceAll("_", " ");
}

export function nameOf(feature) {
  const { name, feature: kind, zone_id: id } = feature.properties;
  return name || (kind === "zone" && id) || kindName(kind);
}

/* Leaflet's path options for what is not a zone. */
export function look(kind) {
  const [fill, color, weight = 1.2, dash] = LOOKS[kind] || OTHER;
  const veil = kind === "tree" ? 0.4 : 0.9;
  return { fill: fill !== "", fillColor: fill, fillOpacity: veil, color, weight, dashArray: dash };
}

/* What is measured of each rating; it goes before the class, as in the plan. */
const MEASURED = { moss_rating: "moss_cover_pct", thatch_rating: "thatch_mm" };

/* A zone's colour by what was measured of it, else by the class that was seen. */
export function zoneColour(feature, rating, scales) {
  return CLASSES[rating][classOf(feature, rating, scales)] || UNRATED;
}

function classOf(feature, rating, scales) {
  const { [MEASURED[rating]]: measured, [rating]: seen } = feature.properties;
  if (typeof measured !== "number") {
    return seen;
  }
  const reached = (each) => (each.above ? measured > each.from : measured >= each.from);
  return (scales[rating] || []).findLast(reached)?.value ?? seen;
}
