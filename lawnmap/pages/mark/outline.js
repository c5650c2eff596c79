/* Small drawings of what two people made of one outline, in one frame and to one measure. */

import { ask } from "./api.js";
import { draw, make } from "./form_parts.js";
import { word } from "./form_words.js";
import { state } from "./state.js";

const BOX = 120; // of the drawing
const EDGE = 8;

/* One side's outline over the one before, both sides in the same frame. */
export function outline(conflict, side, geometryOf) {
  const geometry = geometryOf(side);
  const place = frame(["base", "mine", "theirs"].map(geometryOf).filter(Boolean));
  const count = paths(geometry).flatMap((path) => path.points).length;
  const words = make("span", { class: "corners" }, word("corners", { count }));
  const svg = draw(
    "svg",
    { viewBox: `0 0 ${BOX} ${BOX}`, class: `outline ${side}`, role: "img" },
    ...shapes(geometry, place, "own"),
    ...shapes(geometryOf("base"), place, "base"),
  );
  const label = (corners) => {
    svg.setAttribute("aria-label", word("outline_of", { side: word(side), corners }));
  };
  label(words.textContent);
  addArea(conflict, geometry, (area) => {
    words.textContent = word("corners_area", { count, area });
    label(words.textContent);
  });
  return make("span", { class: "drawn" }, svg, words);
}

/* The area comes from the server's own formula, when it answers. */
async function addArea(conflict, geometry, put) {
  const { key, theirs } = conflict;
  const feature = state.features.get(key) || state.base.get(key) || theirs;
  if (!geometry?.type.includes("Polygon") || !feature?.properties) {
    return;
  }
  try {
    const found = await ask("/api/measure", { feature: { ...feature, geometry } });
    if (typeof found.area_m2 === "number") {
      put(found.area_m2.toFixed(1));
    }
  } catch {
    // The outline is there to see; its area is an addition.
  }
}

/* Lines, rings and points of a geometry; a ring without its last corner, which is its first. */
function paths(geometry) {
  const parts = geometry?.coordinates;
  switch (geometry?.type) {
    case "Point":
      return [{ points: [parts], closed: false }];
    case "LineString":
      return [{ points: parts, closed: false }];
    case "MultiLineString":
      return parts.map((points) => ({ points, closed: false }));
    case "Polygon":
      return parts.map((ring) => ({ points: ring.slice(0, -1), closed: true }));
    case "MultiPolygon":
      return parts.flat().map((ring) => ({ points: ring.slice(0, -1), closed: true }));
    default:
      return [];
  }
}

/* From lon/lat to a box, north up, both axes by the same measure. */
function frame(geometries) {
  const points = geometries.flatMap((geometry) => paths(geometry).flatMap((path) => path.points));
  const [west, east] = extent(points.map((point) => point[0]));
  const [south, north] = extent(points.map((point) => point[1]));
  const narrow = Math.cos((((south + north) / 2) * Math.PI) / 180);
  const size = Math.max((east - west) * narrow, north - south) || 1;
  const scale = (BOX - 2 * EDGE) / size;
  return ([lon, lat]) => [
    BOX / 2 + (lon - (west + east) / 2) * narrow * scale,
    BOX / 2 - (lat - (south + north) / 2) * scale,
  ];
}

function extent(numbers) {
  return numbers.reduce(
    ([low, high], each) => [Math.min(low, each), Math.max(high, each)],
    [Infinity, -Infinity],
  );
}

function shapes(geometry, place, className) {
  const drawn = paths(geometry);
  const lone = drawn.filter((path) => path.points.length === 1);
  const lines = drawn.filter((path) => path.points.length > 1);
  const at = (point) => place(point).map((number) => number.toFixed(2)).join(" ");
  const data = lines.map((path) => `M${path.points.map(at).join("L")}${path.closed ? "Z" : ""}`);
  const closed = lines.some((path) => path.closed);
  const kind = `${className} ${closed ? "area" : "line"}`;
  const path = draw("path", { d: data.join(""), class: kind, "fill-rule": "evenodd" });
  const circles = lone.map(({ points }) => {
    const [cx, cy] = place(points[0]);
    return draw("circle", { cx, cy, r: 5, class: `${className} area` });
  });
  return data.length ? [path, ...circles] : circles;
}
