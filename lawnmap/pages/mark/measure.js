/* Areas as a corner moves: one request on its way at a time, and the last geometry wins. */

import { ask } from "./api.js";
import { chosenOne, emit, on, state } from "./state.js";
import { lost } from "./saving.js";

let running = false;
let waiting = null;

export function measure(key, feature) {
  waiting = [key, feature];
  if (!running) {
    run();
  }
}

async function run() {
  running = true;
  while (waiting) {
    const [key, feature] = waiting;
    waiting = null;
    try {
      emit("measured", key, await ask("/api/measure", { feature: bare(feature) }), feature);
    } catch (error) {
      lost(error);
      emit("measured", key, null, feature);
    }
  }
  running = false;
}

/* Facts decide the ±, so they go along; long notes do not. */
function bare(feature) {
  const kept = Object.entries(feature.properties).filter(([name]) => !name.endsWith("_note"));
  return { ...feature, properties: Object.fromEntries(kept) };
}

function measureChosen() {
  const key = chosenOne();
  if (key !== undefined) {
    measure(key, state.features.get(key));
  }
}

export function startMeasure() {
  on("moving", measure);
  on("chosen", measureChosen);
  on("loaded", measureChosen);
  on("changed", (keys) => keys.includes(chosenOne()) && measureChosen());
}
