/* Moving a whole feature: only with this tool, so that nobody does it by accident. */

import { chart, show, under } from "./map.js";
import { moveBy } from "./corners.js";
import { REACH } from "./snap.js";
import { amend, change, choose, chosenOne, emit, state } from "./state.js";
import { mapped } from "./shape.js";

const STILL = 5; // [px]
const AGAIN_MS = 1_500;

let drag = null;
let swallow = false;
let pushed = { step: null, at: 0 };

export function startWhole() {
  const ground = chart.map.getContainer();
  ground.addEventListener("pointerdown", down, { capture: true });
  ground.addEventListener("pointermove", move, { capture: true });
  ground.addEventListener("pointerup", up, { capture: true });
  ground.addEventListener("pointercancel", cancel, { capture: true });
  ground.addEventListener("click", function (event) {
    if (swallow) {
      event.stopImmediatePropagation();
      swallow = false;
    }
  }, { capture: true });
}

const pointOf = (event) => chart.map.mouseEventToContainerPoint(event);

function down(event) {
  swallow = false;
  if (state.mode !== "move" || event.button !== 0 || !event.isPrimary || event.target.closest(".leaflet-control, form")) {
    return;
  }
  const from = chart.lonlat(pointOf(event));
  const found = under(from, REACH[event.pointerType] || REACH.mouse);
  if (!found.length) {
    return;
  }
  if (!found.includes(chosenOne())) {
    choose([found[0]]);
  }
  event.preventDefault();
  event.stopImmediatePropagation();
  event.currentTarget.setPointerCapture(event.pointerId);
  const key = chosenOne();
  drag = { key, from, pixel: pointOf(event), id: event.pointerId, feature: state.features.get(key) };
}

function move(event) {
  if (!drag || event.pointerId !== drag.id) {
    return;
  }
  event.stopImmediatePropagation();
  if (!drag.now && pointOf(event).distanceTo(drag.pixel) < STILL) {
    return;
  }
  const to = chart.lonlat(pointOf(event));
  drag.now = shifted(drag.feature, to[0] - drag.from[0], to[1] - drag.from[1]);
  show(drag.key, drag.now);
  emit("moving", drag.key, drag.now);
}

function up(event) {
  if (!drag || event.pointerId !== drag.id) {
    return;
  }
  event.stopImmediatePropagation();
  swallow = true;
  const { key, now } = drag;
  drag = null;
  if (now) {
    change("Move the whole", { [key]: now });
  }
}

function cancel() {
  if (drag) {
    show(drag.key, drag.feature);
    drag = null;
  }
}

function shifted(feature, east, north) {
  const geometry = mapped(feature.geometry, ([lon, lat]) => [lon + east, lat + north]);
  return { ...feature, geometry };
}

/* Move by metres, by key; steps soon after one another are one stroke. */
export function push(east, north) {
  const key = chosenOne();
  const feature = state.features.get(key);
  const [lon, lat] = chart.lonlat([0, 0]);
  const to = moveBy([lon, lat], east, north);
  const given = { [key]: shifted(feature, to[0] - lon, to[1] - lat) };
  const now = Date.now();
  if (now - pushed.at > AGAIN_MS || !amend(pushed.step, given)) {
    pushed.step = change("Move the whole", given);
  }
  pushed.at = now;
}
