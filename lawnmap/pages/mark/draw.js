/* What is being drawn: corners put one after another by pointer, by key or by exact figures.

   A sketch is for a new feature, a cut, a hole, a bed or a rectangle; nothing of it is in the site
   until it is finished, and then it is one stroke. */

import { ask } from "./api.js";
import { chart } from "./map.js";
import { gripSketch } from "./corners.js";
import { measure } from "./measure.js";
import { lost } from "./saving.js";
import { emit, on, say, state } from "./state.js";
import { CHOSEN } from "./looks.js";

const SKETCH = "being drawn"; // the key under which its area is asked for

let sketch = null; // {purpose, kind, form, points, finish}
let line = null;
let rubber = null;
let sideAsked = null;

export const drawing = () => sketch;
export const closes = () => sketch.form === "area";
const least = () => (closes() ? 3 : sketch.form === "point" ? 1 : 2);

/* Begin a sketch. `finish(points)` is called once and may be refused by throwing. */
export function startSketch(given) {
  endSketch();
  sketch = { points: [], ...given };
  const style = { pane: "chosen", color: CHOSEN, weight: 3, interactive: false, smoothFactor: 0 };
  line = (closes() ? L.polygon : L.polyline)([], { ...style, fillOpacity: 0.12 }).addTo(chart.map);
  rubber = L.polyline([], { ...style, weight: 2, dashArray: "5 5" }).addTo(chart.map);
  gripSketch({ rings: sketchRings, move: moveCorner, tap: tapCorner });
  emit("sketch");
}

export function endSketch() {
  if (sketch) {
    line.remove();
    rubber.remove();
    sketch = null;
    gripSketch(null);
    emit("sketch");
  }
}

/* Empty the sketch but stay with the tool. */
export function clearSketch() {
  const had = sketch?.points.length > 0;
  if (had) {
    sketch.points = [];
    redraw();
  }
  return had;
}

function sketchRings() {
  return sketch ? [{ path: [], points: sketch.points, closed: closes() }] : [];
}

export function addCorner(at) {
  const last = sketch.points.at(-1);
  if (last && last[0] === at[0] && last[1] === at[1]) {
    return;
  }
  sketch.points = [...sketch.points, at];
  redraw();
  if (sketch.form === "point") {
    finish();
  } else {
    say(`Corner ${sketch.points.length} put.`);
  }
}

export function dropCorner() {
  if (!sketch?.points.length) {
    return false;
  }
  sketch.points = sketch.points.slice(0, -1);
  redraw();
  say("Last corner taken back.");
  return true;
}

function moveCorner(place, at) {
  sketch.points = sketch.points.with(place, at);
  redraw(false);
}

/* A tap on the first corner closes an area, one on the last ends a line. */
function tapCorner(place) {
  const ends = closes() ? place === 0 : place === sketch.points.length - 1;
  if (ends && sketch.points.length >= least()) {
    finish();
  }
}

/* Put a whole ring at once, as from two measured sides. */
export function putRing(points) {
  sketch.points = points;
  return finish();
}

export async function finish() {
  const { points, finish: done } = sketch;
  if (points.length < least()) {
    say(`That needs ${least()} corners; there ${points.length === 1 ? "is" : "are"} ${points.length}.`, "bad");
    return;
  }
  const given = sketch;
  try {
    await done(points);
    if (sketch === given) {
      sketch.points = [];
      redraw();
    }
  } catch (error) {
    if (lost(error)) {
      say("lawnmap does not answer; what you drew is still here. Finish it when it answers.", "bad");
      return;
    }
    const { problem, remedy, at } = error.error;
    say([`${problem}.`, remedy].filter(Boolean).join(" "), "bad");
    if (at) {
      emit("judged", SKETCH, { problems: [{ problem, remedy, at }] });
    }
  }
}

/* Draw the side from the last corner to where the pointer is. */
export function follow(at) {
  const last = sketch?.points.at(-1);
  rubber?.setLatLngs(last && at ? [last, at].map(([lon, lat]) => [lat, lon]) : []);
  sketch && (sketch.pointer = at);
  if (last && at) {
    askSide(last, at);
  }
}

function redraw(grips = true) {
  line.setLatLngs(sketch.points.map(([lon, lat]) => [lat, lon]));
  rubber.setLatLngs([]);
  if (grips) {
    gripSketch({ rings: sketchRings, move: moveCorner, tap: tapCorner });
  }
  if (closes() && sketch.points.length > 2) {
    const ring = [...sketch.points, sketch.points[0]];
    const properties = { feature: sketch.kind || "zone", outline_source: "drawn" };
    measure(SKETCH, { type: "Feature", properties, geometry: { type: "Polygon", coordinates: [ring] } });
  }
  emit("sketch");
}

async function askSide(from, to) {
  const running = sideAsked !== null;
  sideAsked = { from, to };
  if (running) {
    return;
  }
  while (sideAsked?.from) {
    const asked = sideAsked;
    sideAsked = {};
    try {
      emit("side", await ask("/api/side", asked));
    } catch (error) {
      lost(error);
    }
  }
  sideAsked = null;
}

export function startDraw() {
  on("measured", function (key, answer) {
    if (key === SKETCH && sketch) {
      sketch.area = answer;
      emit("sketch");
    }
  });
  on("loaded", () => sketch && state.mode === "choose" && endSketch());
}
