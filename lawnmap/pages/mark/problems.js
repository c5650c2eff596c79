/* What Python says about the outlines: listed, and marked on the map where it is. */

import { ask } from "./api.js";
import { button, element, said } from "./dom.js";
import { chart, goTo } from "./map.js";
import { nameOf } from "./looks.js";
import { lost } from "./saving.js";
import { neighboursOf } from "./sharing.js";
import { choose, emit, isZone, on, say, state } from "./state.js";
import { isArea } from "./shape.js";

const found = new Map(); // key -> problems
const queue = new Set();
let running = false;
let box, marks;

export function startProblems() {
  box = document.getElementById("problems");
  marks = L.layerGroup().addTo(chart.map);
  on("changed", (keys) => judge(keys));
  on("judged", take);
  on("sketch", () => found.delete("being drawn") && show());
  on("unsaved", (_, saving) => saving && found.delete("save") && show());
  on("loaded", function () {
    [...found.keys()].forEach((key) => state.features.has(key) || found.delete(key));
    show();
  });
  show();
}

function take(key, { problems }) {
  const known = (found.get(key) || []).map((each) => each.problem);
  const fresh = (problems || []).find((each) => !known.includes(each.problem));
  problems?.length ? found.set(key, problems) : found.delete(key);
  if (fresh && state.features.has(key)) {
    say(`${nameOf(state.features.get(key))}: ${fresh.problem}.`, "bad");
  }
  show();
}

export function judge(keys) {
  keys.forEach((key) => queue.add(key));
  running || run();
}

async function run() {
  running = true;
  for (const key of queue) {
    queue.delete(key);
    const feature = state.features.get(key);
    if (!feature) {
      found.delete(key) && show();
    } else if (isArea(feature.geometry)) {
      await ask1(key, feature);
    }
  }
  running = false;
}

async function ask1(key, feature) {
  const neighbours = isZone(feature) ? neighboursOf(key, feature) : {};
  try {
    const answer = await ask("/api/judge", { feature, key, neighbours });
    if (state.features.get(key) === feature) {
      emit("judged", key, answer);
    }
  } catch (error) {
    if (!lost(error)) {
      const { problem, remedy, at } = error.error;
      emit("judged", key, { problems: [{ problem, remedy, at }] });
    }
  }
}

async function judgeAll() {
  say("Looking at every outline…");
  judge([...state.features.keys()]);
  while (running) {
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
  say(found.size ? "Every outline was looked at." : "Every outline was looked at: no problem.", found.size ? "note" : "good");
}

function show() {
  marks.clearLayers();
  const list = element("ul", "plain");
  let count = 0;
  found.forEach((problems, key) => problems.forEach(function (problem) {
    count += 1;
    list.append(row(key, problem));
    problem.at && mark(key, problem);
  }));
  const check = button("", "Look at every outline", judgeAll);
  box.replaceChildren(element("h2", "", "Problems"),
    count ? list : element("p", "note", "None found in what was changed."), check);
  emit("problems", count);
}

function row(key, { problem, remedy, at }) {
  const feature = state.features.get(key);
  const head = feature ? element("b", "", said(nameOf(feature)), ": ") : "";
  const text = element("p", "", head, `${problem}. `, remedy ? element("small", "", remedy) : "");
  const go = button("", at ? "Go there" : "Choose it", () => visit(key, at));
  return element("li", "", text, at || feature ? go : "");
}

function visit(key, at) {
  state.features.has(key) && choose([key]);
  at && goTo(at);
}

function mark(key, { problem, at }) {
  const sign = button("problem", "!", () => visit(key, at));
  sign.setAttribute("aria-label", problem);
  sign.title = problem;
  L.DomEvent.disableClickPropagation(sign);
  const icon = L.divIcon({ html: sign, className: "problem-mark", iconSize: null });
  const options = { icon, keyboard: false, pane: "grips" };
  marks.addLayer(L.marker([at[1], at[0]], options));
}
