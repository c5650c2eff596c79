/* The tools: what a click on the map does in each, and what cut, merge and hole ask the server. */

import { ask } from "./api.js";
import { chart, keepInView, under } from "./map.js";
import { addCorner, drawing, endSketch, finish, follow, startSketch } from "./draw.js";
import { hideCross } from "./cross.js";
import { REACH, snap } from "./snap.js";
import { share } from "./sharing.js";
import { kindName, nameOf } from "./looks.js";
import { holds, tidy } from "./shape.js";
import { lost } from "./saving.js";
import {
  change, choose, chosenOne, emit, isZone, newKey, on, say, setMode, state, zoneIds,
} from "./state.js";

export const FORMS = { Polygon: "area", LineString: "line", Point: "point" };

export const pen = { kind: "zone", form: "area", several: false };
let pointer = "mouse";

export function startTools() {
  const { map } = chart;
  map.getContainer().addEventListener("pointerdown", (event) => {
    pointer = event.pointerType;
    hideCross();
  }, { capture: true });
  map.on("click", (event) => act([event.latlng.lng, event.latlng.lat], event.originalEvent));
  map.on("dblclick", () => drawing()?.points.length > 1 && finish());
  map.on("mousemove", (event) => drawing() && pointer === "mouse" &&
    follow(snapped([event.latlng.lng, event.latlng.lat], event.originalEvent)));
  map.on("mouseout", () => follow(null));
  on("mode", begin);
  on("chosen", () => ["cut", "hole", "bed"].includes(state.mode) && begin());
}

function snapped(at, event) {
  if (event?.altKey) {
    return at;
  }
  const extra = closing();
  return snap(at, { reach: REACH[pointer] || REACH.mouse, extra })?.at || at;
}

const closing = () => drawing().points.slice(0, 1);

/* Do at a place what the tool does. */
export function act(at, event) {
  if (drawing()) {
    const [first] = closing();
    const place = snapped(at, event);
    if (first && place[0] === first[0] && place[1] === first[1] && drawing().points.length > 2) {
      finish();
    } else {
      addCorner(place);
    }
    return;
  }
  const found = under(at, REACH[pointer] || REACH.mouse);
  if (state.mode === "paint") {
    const zone = found.find((key) => isZone(state.features.get(key)));
    zone !== undefined && emit("tapped", zone);
  } else if (["cut", "hole", "bed"].includes(state.mode)) {
    choose(found.filter((key) => isZone(state.features.get(key))).slice(0, 1));
  } else {
    chooseFrom(found, event?.shiftKey || pen.several);
  }
}

/* Choose what lies on top; the same place again chooses what lies under it. */
function chooseFrom(found, adding) {
  if (!found.length) {
    adding || choose([]);
    return;
  }
  if (adding) {
    const key = found[0];
    const rest = [...state.chosen].filter((each) => each !== key);
    choose(state.chosen.has(key) ? rest : [...rest, key]);
    return;
  }
  const now = found.indexOf(chosenOne());
  choose([found[(now + 1) % found.length]]);
}

/* Begin with the tool chosen; one that works on a zone waits until one is chosen. */
function begin() {
  endSketch();
  const { mode } = state;
  if (mode === "draw") {
    const says = `Drawing a ${kindName(pen.kind)}`;
    startSketch({ purpose: "feature", kind: pen.kind, form: pen.form, says, finish: addFeature });
  } else if (mode === "rectangle") {
    const says = `Rectangle, ${kindName(areaKind())}`;
    startSketch({ purpose: "rectangle", kind: areaKind(), form: "area", says, finish: addFeature });
  } else if (["cut", "hole", "bed"].includes(mode)) {
    beginOnZone(mode);
  }
}

function beginOnZone(mode) {
  const key = chosenOne();
  if (!isZone(state.features.get(key))) {
    say("Tap the zone first.");
    return;
  }
  const name = nameOf(state.features.get(key));
  const start = {
    cut: { form: "line", says: `Cut through ${name}`, finish: cut },
    hole: { form: "area", says: `Hole in ${name}`, finish: (points) => cutOut(points, false) },
    bed: { form: "area", says: `Bed in ${name}`, finish: (points) => cutOut(points, true) },
  };
  keepInView([key], () => startSketch({ purpose: mode, ...start[mode] }));
}

const areaKind = () => ((state.kinds[pen.kind] || []).includes("Polygon") ? pen.kind : "zone");

function addFeature(points) {
  const { kind, form } = drawing();
  const feature = { type: "Feature", properties: { feature: kind }, geometry: geometryOf(form, points) };
  const key = newKey(feature);
  if (kind === "zone") {
    const name = `Zone ${key.replace("zone-", "")}`;
    Object.assign(feature.properties, { zone_id: key, name, outline_source: "drawn" });
  } else if (kind === "core") {
    const zone = zoneAt(points[0]);
    zone && (feature.properties.zone_id = zone);
  }
  const step = change(`Draw a ${kindName(kind)}`, { [key]: feature });
  if (form === "point") {
    say(`${kindName(kind)} put.`, "good");
    begin(); // the next one
  } else {
    setMode("choose");
    choose([key]);
  }
  share(step, key);
}

function geometryOf(form, points) {
  const made = {
    area: () => tidy({ type: "Polygon", coordinates: [[...points, points[0]]] }),
    line: () => ({ type: "LineString", coordinates: points }),
    point: () => ({ type: "Point", coordinates: points[0] }),
  };
  return made[form]();
}

function zoneAt(at) {
  return [...state.features].find(([, feature]) => isZone(feature) && holds(feature.geometry, at))?.[0];
}

async function cut(line) {
  const key = chosenOne();
  const feature = state.features.get(key);
  const { gone, features } = await ask("/api/cut", { feature, key, line, taken: zoneIds() });
  take(`Cut ${nameOf(feature)}`, gone, features);
  say(`${nameOf(feature)} was cut into ${Object.keys(features).length}.`, "good");
}

async function cutOut(points, bed) {
  const key = chosenOne();
  const feature = state.features.get(key);
  const ring = [...points, points[0]];
  const { features } = await ask("/api/cut_out", { feature, key, ring, bed, taken: [...state.features.keys()] });
  take(bed ? "Cut a bed out" : "Cut a hole", [], features);
  say(`${nameOf(feature)} has a ${bed ? "bed" : "hole"} cut out of it.`, "good");
}

/* Put what the server made in place of what was there, as one stroke. */
function take(label, gone, features) {
  const given = Object.fromEntries((gone || []).map((key) => [key, null]));
  Object.entries(features).forEach(([key, feature]) =>
    (given[key] = { ...feature, geometry: tidy(feature.geometry) }));
  change(label, given);
  setMode("choose");
  choose(Object.keys(features));
}

export async function merge() {
  const keys = [...state.chosen].filter((key) => isZone(state.features.get(key)));
  if (keys.length < 2) {
    pen.several = true;
    setMode("choose");
    emit("pen");
    say("Choose two zones or more that touch, then Merge.");
    return;
  }
  const features = Object.fromEntries(keys.map((key) => [key, state.features.get(key)]));
  try {
    const answer = await ask("/api/merge", { features, taken: zoneIds() });
    take(`Merge ${keys.length} zones`, answer.gone || keys, answer.features);
    pen.several = false;
    emit("pen");
    const open = (answer.asks || []).map(({ name, values }) => `${name} (${values.join(", ")})`);
    say(open.length ? `Merged. They differed, so left open: ${open.join("; ")}.` : "Merged.", open.length ? "note" : "good");
  } catch (error) {
    lost(error) || say(`${error.error.problem}. ${error.error.remedy || ""}`, "bad");
  }
}

export function takeAway() {
  const keys = [...state.chosen];
  if (keys.length) {
    const label = keys.length === 1 ? nameOf(state.features.get(keys[0])) : `${keys.length} features`;
    change(`Take away ${label}`, Object.fromEntries(keys.map((key) => [key, null])));
    say(`${label} taken away. Undo brings it back.`);
  }
}

/* Choose another kind to draw, and the form it takes. */
export function setPen(kind, form) {
  pen.kind = kind;
  pen.form = form || formsOf(kind)[0];
  if (state.mode === "draw" || state.mode === "rectangle") {
    begin();
  } else {
    setMode("draw");
  }
  emit("pen");
}

export function formsOf(kind) {
  return (state.kinds[kind] || []).map((type) => FORMS[type]).filter(Boolean);
}

