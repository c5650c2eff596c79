/* After a stroke: corners that lie on a neighbour become the neighbour's, and it gets ours. */

import { ask } from "./api.js";
import { amend, isZone, state } from "./state.js";
import { bounds, near, samePlace, rings, tidy } from "./shape.js";
import { lost } from "./saving.js";

const WITHIN_M = 0.02; // what a hand misses by, not a path
const ROUND = 1e-5; // degrees, about a metre

export function neighboursOf(key, feature) {
  const found = {};
  state.features.forEach(function (other, name) {
    if (name !== key && isZone(other) && near(bounds(feature), bounds(other), ROUND)) {
      found[name] = other;
    }
  });
  return found;
}

export async function share(step, key) {
  const feature = state.features.get(key);
  if (!isZone(feature)) {
    return;
  }
  const neighbours = neighboursOf(key, feature);
  if (!Object.keys(neighbours).length) {
    return;
  }
  try {
    const { features } = await ask("/api/share", { feature, key, neighbours, within_m: WITHIN_M });
    const asked = { ...neighbours, [key]: feature };
    const stale = Object.keys(features).some((name) => state.features.get(name) !== asked[name]);
    const fresh = Object.entries(features).map(([name, each]) =>
      [name, { ...each, geometry: tidy(each.geometry) }]);
    if (fresh.length && !stale && !state.busy) {
      amend(step, Object.fromEntries(fresh));
    }
  } catch (error) {
    lost(error); // the outline stands as it was drawn
  }
}

/* Where else a corner stands: {key: [{path, place}]}, of zones only. */
export function sharers(at, without) {
  const found = {};
  state.features.forEach(function (feature, key) {
    const [west, south, east, north] = bounds(feature);
    const inside = west <= at[0] && at[0] <= east && south <= at[1] && at[1] <= north;
    if (key === without || !isZone(feature) || !inside) {
      return;
    }
    rings(feature.geometry).forEach(({ path, points }) =>
      points.forEach((corner, place) =>
        samePlace(corner, at) && (found[key] ||= []).push({ path, place })),
    );
  });
  return found;
}
