/* Find the corner or edge of a neighbour that a pointer means: a corner first, else an edge. */

import { chart } from "./map.js";
import { state } from "./state.js";
import { bounds, near, rings } from "./shape.js";

export const REACH = { mouse: 12, pen: 16, touch: 22 }; // [px]

/* Return {at, key, on} with the neighbour's very doubles for a corner, or null.

   `without` are keys that are not looked at, `extra` more corners that may be met. */
export function snap(at, { reach = REACH.mouse, without = new Set(), extra = [] } = {}) {
  const pixel = chart.pixel(at);
  const low = chart.lonlat(pixel.add([-reach, reach]));
  const high = chart.lonlat(pixel.add([reach, -reach]));
  const window = [...low, ...high];
  const best = { corner: { away: reach }, edge: { away: reach } };
  extra.forEach((corner) => take(best.corner, corner, "", pixel));
  state.features.forEach(function (feature, key) {
    if (!without.has(key) && near(bounds(feature), window)) {
      rings(feature.geometry).forEach((ring) => lookAt(ring, key, pixel, window, best));
    }
  });
  const found = best.corner.at ? best.corner : best.edge;
  return found.at ? { at: found.at, key: found.key, on: best.corner.at ? "corner" : "edge" } : null;
}

function lookAt(ring, key, pixel, window, best) {
  ring.points.forEach(function (corner, place) {
    take(best.corner, corner, key, pixel);
    if (place === 0 && !ring.closed) {
      return;
    }
    const before = ring.points.at(place - 1);
    const box = [
      Math.min(before[0], corner[0]), Math.min(before[1], corner[1]),
      Math.max(before[0], corner[0]), Math.max(before[1], corner[1]),
    ];
    if (near(box, window)) {
      take(best.edge, nearest(before, corner, pixel), key, pixel);
    }
  });
}

function take(best, at, key, pixel) {
  const away = chart.pixel(at).distanceTo(pixel);
  if (away <= best.away) {
    Object.assign(best, { away: away, at: at, key: key });
  }
}

function nearest(from, to, pixel) {
  const start = chart.pixel(from);
  const along = chart.pixel(to).subtract(start);
  const square = along.x * along.x + along.y * along.y;
  const offset = pixel.subtract(start);
  const part = square ? (offset.x * along.x + offset.y * along.y) / square : 0;
  const held = Math.min(1, Math.max(0, part));
  return [from[0] + held * (to[0] - from[0]), from[1] + held * (to[1] - from[1])];
}
