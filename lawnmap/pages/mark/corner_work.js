/* What moving, adding or taking away a corner makes of the features, neighbours' shared corners
   with it. Nothing here knows of pointers or keys. */

import { share, sharers } from "./sharing.js";
import { change, isZone, state } from "./state.js";
import { fewest, rings, samePlace, tidy, withRing, withoutRing } from "./shape.js";

export function samePath(one, other) {
  return one.join() === other.join();
}

function ringAt(feature, path) {
  return rings(feature.geometry).find((each) => samePath(each.path, path));
}

/* What a corner's move changes: for each feature, what to start from and its corners. `grip` is
   {path, place, at, mid}, `mid` for a new corner behind `place`. */
export function begin(key, grip, alone = false) {
  const feature = state.features.get(key);
  const work = { key, given: {}, now: feature };
  const together = state.together && !alone && isZone(feature);
  if (grip.mid) {
    work.given[key] = inserted(feature, grip.path, grip.place, grip.at);
    if (together) {
      insertElsewhere(work, grip);
    }
    return work;
  }
  work.given[key] = { feature, spots: [{ path: grip.path, place: grip.place }] };
  if (together) {
    Object.entries(sharers(grip.at, key)).forEach(([other, spots]) =>
      (work.given[other] = { feature: state.features.get(other), spots }));
  }
  return work;
}

function inserted(feature, path, place, at) {
  const points = ringAt(feature, path).points.toSpliced(place + 1, 0, at);
  const geometry = withRing(feature.geometry, path, points);
  return { feature: { ...feature, geometry }, spots: [{ path, place: place + 1 }] };
}

/* A new corner on a line that two zones share comes into both. */
function insertElsewhere(work, grip) {
  const { points } = ringAt(work.now, grip.path);
  const ends = [points[grip.place], points[(grip.place + 1) % points.length]];
  Object.keys(sharers(ends[0], work.key)).forEach(function (other) {
    const feature = state.features.get(other);
    rings(feature.geometry).forEach((ring) =>
      ring.points.forEach(function (one, place) {
        const next = ring.points[(place + 1) % ring.points.length];
        const forth = samePlace(one, ends[0]) && samePlace(next, ends[1]);
        const back = samePlace(one, ends[1]) && samePlace(next, ends[0]);
        if (forth || back) {
          work.given[other] = inserted(feature, ring.path, place, grip.at);
        }
      }),
    );
  });
}

/* Return the features by key with the corner at a place. */
export function moved(work, at) {
  const result = {};
  Object.entries(work.given).forEach(function ([key, { feature, spots }]) {
    let { geometry } = feature;
    spots.forEach(function ({ path, place }) {
      const { points } = ringAt({ geometry }, path);
      geometry = withRing(geometry, path, points.with(place, at));
    });
    result[key] = { ...feature, geometry };
  });
  return result;
}

/* Make a stroke of it, and let neighbours share it. */
export function commit(label, given, key, sharing = true) {
  const tidied = Object.entries(given).map(([name, feature]) =>
    [name, { ...feature, geometry: tidy(feature.geometry) }]);
  const step = change(label, Object.fromEntries(tidied));
  if (sharing) {
    share(step, key);
  }
  return step;
}

/* Return the features without a corner, also of a neighbour that has it on the same line; null
   when nothing would be left. */
export function removed(key, { path, place }) {
  const feature = state.features.get(key);
  const { points } = ringAt(feature, path);
  if (points.length <= fewest(feature.geometry)) {
    const geometry = withoutRing(feature.geometry, path);
    return geometry && { [key]: { ...feature, geometry } };
  }
  const given = { [key]: without(feature, path, place) };
  if (state.together && isZone(feature)) {
    const beside = [points.at(place - 1), points[(place + 1) % points.length]];
    Object.entries(sharers(points[place], key)).forEach(function ([other, [spot]]) {
      const twin = state.features.get(other);
      if (lined(twin, spot, beside)) {
        given[other] = without(twin, spot.path, spot.place);
      }
    });
  }
  return given;
}

function lined(twin, { path, place }, beside) {
  const { points } = ringAt(twin, path);
  const next = [points.at(place - 1), points[(place + 1) % points.length]];
  return points.length > 3 && beside.every((one) => next.some((two) => samePlace(one, two)));
}

function without(feature, path, place) {
  const { points } = ringAt(feature, path);
  return { ...feature, geometry: withRing(feature.geometry, path, points.toSpliced(place, 1)) };
}
