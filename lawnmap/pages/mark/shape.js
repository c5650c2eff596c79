/* The corners of a geometry: GeoJSON taken apart into rings, and put together again.

   A ring is {path, points, closed}: where it stands in the coordinates, its corners without the
   last one that repeats the first, and whether it closes. */

const DEEP = { Point: 0, LineString: 1, MultiLineString: 2, Polygon: 2, MultiPolygon: 3 };

export function isArea(geometry) {
  return geometry.type.endsWith("Polygon");
}

export function rings(geometry) {
  const closed = isArea(geometry);
  const depth = DEEP[geometry.type];
  if (depth === 0) {
    return [{ path: [], points: [geometry.coordinates], closed: false }];
  }
  const found = [];
  (function walk(coordinates, path, left) {
    if (left > 1) {
      coordinates.forEach((each, place) => walk(each, [...path, place], left - 1));
      return;
    }
    const points = closed ? coordinates.slice(0, -1) : coordinates.slice();
    found.push({ path: path, points: points, closed: closed });
  })(geometry.coordinates, [], depth);
  return found;
}

/* Return a geometry with one ring's corners replaced. */
export function withRing(geometry, path, points) {
  if (geometry.type === "Point") {
    return { ...geometry, coordinates: points[0] };
  }
  const line = isArea(geometry) ? [...points, points[0]] : points;
  const put = function (coordinates, rest) {
    if (!rest.length) {
      return line;
    }
    const copy = coordinates.slice();
    copy[rest[0]] = put(copy[rest[0]], rest.slice(1));
    return copy;
  };
  return { ...geometry, coordinates: put(geometry.coordinates, path) };
}

/* Return a geometry without one of its rings: a hole, or one part of several; null if none is left. */
export function withoutRing(geometry, path) {
  const last = path.at(-1);
  const drop = (list, place) => list.filter((_, each) => each !== place);
  if (path.length === 0) {
    return null;
  }
  let coordinates;
  if (geometry.type === "MultiPolygon") {
    coordinates = last === 0
      ? drop(geometry.coordinates, path[0])
      : geometry.coordinates.map((part, place) => (place === path[0] ? drop(part, last) : part));
  } else {
    coordinates = geometry.type === "Polygon" && last === 0 ? [] : drop(geometry.coordinates, last);
  }
  return coordinates.length ? { ...geometry, coordinates: coordinates } : null;
}

/* Fewest corners a ring may have. */
export function fewest(geometry) {
  return isArea(geometry) ? 3 : geometry.type === "Point" ? 1 : 2;
}

/* Return a geometry with every outline counterclockwise and every hole clockwise (RFC 7946, 3.1.6). */
export function tidy(geometry) {
  if (!isArea(geometry)) {
    return geometry;
  }
  const turned = (polygon) =>
    polygon.map((ring, place) => (turnsLeft(ring) === (place === 0) ? ring : [...ring].reverse()));
  const many = geometry.type === "MultiPolygon";
  const coordinates = many ? geometry.coordinates.map(turned) : turned(geometry.coordinates);
  return { ...geometry, coordinates: coordinates };
}

function turnsLeft(ring) {
  const [left, low] = ring[0];
  let twice = 0;
  for (let place = 1; place < ring.length; place += 1) {
    const [x0, y0] = ring[place - 1];
    const [x1, y1] = ring[place];
    twice += (x0 - left) * (y1 - low) - (x1 - left) * (y0 - low);
  }
  return twice >= 0;
}

/* West, south, east, north of a feature; worked out once for each object. */
const known = new WeakMap();
export function bounds(feature) {
  if (!known.has(feature)) {
    const found = [Infinity, Infinity, -Infinity, -Infinity];
    rings(feature.geometry).forEach((ring) =>
      ring.points.forEach(function ([x, y]) {
        found[0] = Math.min(found[0], x);
        found[1] = Math.min(found[1], y);
        found[2] = Math.max(found[2], x);
        found[3] = Math.max(found[3], y);
      }),
    );
    known.set(feature, found);
  }
  return known.get(feature);
}

export function near(one, other, by = 0) {
  return (
    one[0] <= other[2] + by && other[0] <= one[2] + by &&
    one[1] <= other[3] + by && other[1] <= one[3] + by
  );
}

/* Tell whether a place lies on a geometry's ground, its holes left out (by the even-odd rule). */
export function holds(geometry, [x, y]) {
  let inside = false;
  rings(geometry).filter((ring) => ring.closed).forEach(function ({ points }) {
    points.forEach(function ([x1, y1], place) {
      const [x0, y0] = points.at(place - 1);
      if (y0 > y !== y1 > y && x < x0 + ((y - y0) / (y1 - y0)) * (x1 - x0)) {
        inside = !inside;
      }
    });
  });
  return inside;
}

export function samePlace(one, other) {
  return one[0] === other[0] && one[1] === other[1];
}

/* Move every place of a geometry. */
export function mapped(geometry, move) {
  const each = (coordinates) =>
    typeof coordinates[0] === "number" ? move(coordinates) : coordinates.map(each);
  return { ...geometry, coordinates: each(geometry.coordinates) };
}
