/* The corners of the one chosen feature, by pointer and by key: drag, add, take away. */

import { chart, show } from "./map.js";
import { begin, commit, moved, removed, samePath } from "./corner_work.js";
import { drawGrips, focusGrip, followGrip, halfway, lightGrip, nearestGrip } from "./grips.js";
import { REACH, snap } from "./snap.js";
import { amend, chosenOne, emit, on, say, state } from "./state.js";
import { fewest, rings } from "./shape.js";
import { kindName } from "./looks.js";

const LONG_PRESS_MS = 600;
const STILL = 5; // [px] that a hand trembles
const AGAIN_MS = 1_500; // steps by key within this time are one stroke

let corner = null; // {path, place} that keys act on
let owner; // whose corner that is
let drag = null;
let swallow = false;
let nudged = { step: null, at: 0, corner: "" };
let sketching = null; // what draws at the moment: {rings, move, tap}

export const atCorner = () => corner;

/* Let what is being drawn have its corners dragged too. */
export function gripSketch(given) {
  sketching = given;
  redraw();
}

export function startCorners() {
  const ground = chart.map.getContainer();
  const early = { capture: true };
  ground.addEventListener("pointerdown", down, early);
  ground.addEventListener("pointermove", move, early);
  ground.addEventListener("pointerup", up, early);
  ground.addEventListener("pointercancel", stopDrag, early);
  ground.addEventListener("click", stopClick, early);
  ground.addEventListener("contextmenu", (event) => event.preventDefault());
  chart.map.on("zoomend moveend viewreset", redraw);
  on("chosen", chosen);
  ["changed", "loaded"].forEach((name) => on(name, () => { keepCorner(); redraw(); }));
  on("mode", () => { corner = null; redraw(); });
}

function chosen() {
  if (chosenOne() !== owner) {
    owner = chosenOne();
    corner = null;
  }
  redraw();
}

function stopClick(event) {
  if (swallow) {
    event.stopImmediatePropagation();
    swallow = false;
  }
}

/* The rings that have grips now. */
function current() {
  if (sketching) {
    return sketching.rings();
  }
  const feature = state.features.get(chosenOne());
  return feature && state.mode === "choose" ? rings(feature.geometry) : [];
}

function ringOf({ path }) {
  return current().find((each) => samePath(each.path, path));
}

function keepCorner() {
  const ring = corner && ringOf(corner);
  corner = ring ? { path: ring.path, place: Math.min(corner.place, ring.points.length - 1) } : null;
}

function redraw() {
  drawGrips(current(), { corner, mids: !sketching, focused: take });
}

function take({ path, place }) {
  corner = { path, place };
  lightGrip(corner);
}

/* Choose the next corner by key, `by` 1 or -1. */
export function stepCorner(by) {
  const all = current().flatMap(({ path, points }) => points.map((at, place) => ({ path, place, at })));
  if (!all.length) {
    return;
  }
  const now = all.findIndex((each) =>
    corner && each.place === corner.place && samePath(each.path, corner.path));
  const first = by > 0 ? 0 : all.length - 1;
  const { path, place, at } = all[now < 0 ? first : (now + by + all.length) % all.length];
  if (!chart.map.getBounds().contains([at[1], at[0]])) {
    chart.map.panTo([at[1], at[0]], { animate: false });
  }
  corner = { path, place };
  redraw();
  focusGrip(corner);
}

export function leaveCorner() {
  const had = corner !== null;
  corner = null;
  redraw();
  if (had) {
    chart.map.getContainer().focus();
  }
  return had;
}

function pointOf(event) {
  return chart.map.mouseEventToContainerPoint(event);
}

function down(event) {
  swallow = false;
  const chrome = event.target.closest(".leaflet-control, form, .problem");
  if (drag || chrome || event.button !== 0 || !event.isPrimary) {
    return;
  }
  const kind = event.pointerType;
  const grip = nearestGrip(pointOf(event), REACH[kind] || REACH.mouse);
  if (!grip) {
    return;
  }
  event.preventDefault();
  event.stopImmediatePropagation();
  event.currentTarget.setPointerCapture(event.pointerId);
  drag = { grip, kind, id: event.pointerId, from: pointOf(event), alone: event.ctrlKey };
  state.busy = true;
  if (kind !== "mouse") {
    drag.timer = setTimeout(longPress, LONG_PRESS_MS);
  }
}

function longPress() {
  if (drag && !drag.work && !drag.grip.mid && !sketching) {
    const { grip } = drag;
    endDrag();
    swallow = true;
    take(grip);
    navigator.vibrate?.(30);
    deleteCorner();
  }
}

function move(event) {
  if (!drag || event.pointerId !== drag.id) {
    return;
  }
  event.stopImmediatePropagation();
  const pixel = pointOf(event);
  if (!drag.work) {
    if (pixel.distanceTo(drag.from) < STILL) {
      return;
    }
    clearTimeout(drag.timer);
    drag.work = sketching ? { given: {} } : begin(chosenOne(), drag.grip, drag.alone);
    take({ path: drag.grip.path, place: drag.grip.place + (drag.grip.mid ? 1 : 0) });
  }
  drag.snapped = !event.altKey;
  drag.at = chart.lonlat(pixel);
  if (drag.snapped) {
    const without = new Set(Object.keys(drag.work.given));
    drag.at = snap(drag.at, { reach: REACH[drag.kind], without })?.at || drag.at;
  }
  if (sketching) {
    sketching.move(drag.grip.place, drag.at);
    redraw();
  } else {
    preview(drag.work, drag.grip, drag.at);
  }
}

function preview(work, grip, at) {
  const now = moved(work, at);
  Object.entries(now).forEach(([key, feature]) => show(key, feature));
  work.now = now[work.key];
  const ring = rings(work.now.geometry).find((each) => samePath(each.path, grip.path));
  followGrip(grip, ring.points.length, at);
  emit("moving", work.key, work.now);
}

function up(event) {
  if (!drag || event.pointerId !== drag.id) {
    return;
  }
  event.stopImmediatePropagation();
  swallow = true;
  const { work, grip, snapped, at } = drag;
  endDrag();
  if (sketching) {
    work || sketching.tap(grip.place);
  } else if (work) {
    commit(grip.mid ? "Add a corner" : "Move a corner", moved(work, at), work.key, snapped);
  } else if (!grip.mid) {
    take(grip);
    focusGrip(corner);
  }
}

function endDrag() {
  clearTimeout(drag.timer);
  drag = null;
  state.busy = false;
}

/* Break a drag off: everything is where it was. */
export function stopDrag() {
  if (!drag) {
    return false;
  }
  const { work } = drag;
  endDrag();
  Object.keys(work?.given || {}).forEach((key) => show(key, state.features.get(key)));
  redraw();
  return true;
}

/* Move the corner that keys act on, in metres east and north. */
export function nudge(east, north) {
  const at = moveBy(ringOf(corner).points[corner.place], east, north);
  if (sketching) {
    sketching.move(corner.place, at);
    redraw();
    return;
  }
  const key = chosenOne();
  const from = ringOf(corner).points[corner.place];
  const given = moved(begin(key, { ...corner, at: from, mid: false }), at);
  const name = [key, ...corner.path, corner.place].join();
  const again = nudged.corner === name && Date.now() - nudged.at < AGAIN_MS;
  if (!again || !amend(nudged.step, given)) {
    nudged.step = commit("Move a corner", given, key, false);
  }
  Object.assign(nudged, { at: Date.now(), corner: name });
}

export function moveBy([lon, lat], east, north) {
  const degree = 111_320; // metres, near enough for a step by key
  return [lon + east / (degree * Math.cos((lat * Math.PI) / 180)), lat + north / degree];
}

/* Put a corner in the middle of the side behind the one that keys act on. */
export function insertCorner() {
  const { path, place } = corner;
  const { points, closed } = ringOf(corner);
  if (points.length < 2 || (!closed && place === points.length - 1) || sketching) {
    say("There is no side behind this corner.");
    return;
  }
  const key = chosenOne();
  const at = halfway(points[place], points[(place + 1) % points.length]);
  const work = begin(key, { path, place, at, mid: true });
  corner = { path, place: place + 1 };
  commit("Add a corner", moved(work, at), key);
  focusGrip(corner);
}

export function deleteCorner() {
  const key = chosenOne();
  const given = removed(key, corner);
  if (given) {
    commit("Take a corner away", given, key, false);
    focusGrip(corner);
    return;
  }
  const { geometry, properties } = state.features.get(key);
  const least = fewest(geometry);
  say(`A ${kindName(properties.feature)} of this form needs ${least} corner${least > 1 ? "s" : ""}: ` +
    "press Escape, then Delete, to take all of it away.", "bad");
}
