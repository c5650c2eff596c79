/* Everything by key. Letters work while the map, the toolbar or a list has the focus, never in a
   field; they can be switched off for those who speak to their computer. */

import { TOOLS, several, use } from "./bar.js";
import { act } from "./tools.js";
import { atCorner, deleteCorner, insertCorner, leaveCorner, nudge, stepCorner, stopDrag } from "./corners.js";
import { chart, fitAll, fitKeys, middle } from "./map.js";
import { clearSketch, drawing, dropCorner, finish } from "./draw.js";
import { cross, moveCross, moveCrossTo, showCross } from "./cross.js";
import { focusExact } from "./exact.js";
import { push } from "./whole.js";
import { searchList } from "./list.js";
import { save } from "./saving.js";
import { takeAway } from "./tools.js";
import { button, element } from "./dom.js";
import { nameOf } from "./looks.js";
import { choose, chosenOne, redo, say, setMode, state, undo } from "./state.js";

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

const LETTERS = {
  n: () => stepFeature(1), N: () => stepFeature(-1), ".": () => stepCorner(1), ",": () => stepCorner(-1),
  i: () => atCorner() && insertCorner(), e: focusExact, f: () => drawing() && finish(), v: several,
  w: () => fitAll(), z: () => state.chosen.size && fitKeys(state.chosen),
  "+": () => chart.map.zoomIn(1), "-": () => chart.map.zoomOut(1), "/": searchList, "?": () => help(),
};

const LISTED = [
  ["Arrow keys", "move the cross; with Shift five times as far, with Alt one pixel"],
  ["Enter", "put a corner at the cross; choose what is under it"],
  ["F or Shift+Enter", "finish what is being drawn"],
  ["E", "type the next side exactly; Escape goes back to the map"],
  ["Backspace", "take back the last corner"],
  ["Escape", "leave the corner, the drawing, the tool, the choice: one after the other"],
  ["N, Shift+N", "next and previous feature"],
  [". and ,", "next and previous corner of what is chosen (Tab goes there too)"],
  ["Arrow keys at a corner", "move it 10 cm; with Shift 1 m, with Alt 1 cm"],
  ["Delete", "take the corner away, or all that is chosen"],
  ["I", "put a corner behind this one"],
  ["V", "choose several (or Shift and click)"],
  ["Arrow keys with Move whole", "move what is chosen 10 cm; with Shift 1 m, with Alt 1 cm"],
  ["Alt while dragging", "do not snap"],
  ["Ctrl while dragging", "leave the neighbours' corners where they are"],
  ["W, Z", "whole site, what is chosen"],
  ["+ and −", "nearer, further off"],
  ["/", "search the list"],
  ["Ctrl+Z, Ctrl+Y", "undo, redo"],
  ["Ctrl+S", "save"],
];

let letters = localStorage.getItem("lawnmap-letters") !== "off";

export function startKeys() {
  document.addEventListener("keydown", pressed);
}

function pressed(event) {
  if (event.defaultPrevented || document.querySelector("dialog[open]")) {
    return;
  }
  const typing = event.target.closest("input, select, textarea, [contenteditable]");
  if (event.key === "Escape" && typing?.closest("#sketch")) {
    chart.map.getContainer().focus();
    return;
  }
  const used = event.ctrlKey || event.metaKey ? command(event, typing) : typing ? false : plain(event);
  if (used) {
    event.preventDefault();
  }
}

function command(event, typing) {
  const key = event.key.toLowerCase();
  if (state.busy) {
    return true; // not under a drag
  } else if (key === "s") {
    save();
  } else if (typing) {
    return false;
  } else if (key === "y" || (key === "z" && event.shiftKey)) {
    redo();
  } else if (key === "z") {
    dropCorner() || undo();
  } else {
    return false;
  }
  return true;
}

function plain(event) {
  const ground = chart.map.getContainer();
  const onMap = ground.contains(event.target) && !event.target.closest("form, .leaflet-control");
  if (event.key === "Escape") {
    leave();
    return true;
  }
  if (onMap && mapKey(event)) {
    return true;
  }
  if (!letters || event.altKey) {
    return false;
  }
  const tool = TOOLS.find((each) => each.key && each.key.toLowerCase() === event.key);
  const work = tool ? () => use(tool) : LETTERS[event.key];
  work?.();
  return Boolean(work);
}

function mapKey(event) {
  if (ARROWS[event.key]) {
    arrow(event);
  } else if (event.key === "Enter") {
    enter(event);
  } else if (event.key === "Delete" || event.key === "Backspace") {
    erase();
  } else {
    return false;
  }
  return true;
}

function arrow(event) {
  const [east, north] = ARROWS[event.key];
  const metres = event.shiftKey ? 1 : event.altKey ? 0.01 : 0.1;
  if (atCorner()) {
    nudge(east * metres, north * metres);
  } else if (state.mode === "move" && chosenOne() !== undefined) {
    push(east * metres, north * metres);
  } else {
    const pixels = event.shiftKey ? 50 : event.altKey ? 1 : 10;
    moveCross(east * pixels, -north * pixels);
  }
}

function enter(event) {
  if (drawing() && event.shiftKey) {
    finish();
  } else {
    showCross();
    act(cross(), { altKey: event.altKey, shiftKey: event.shiftKey });
  }
}

function erase() {
  if (drawing()) {
    dropCorner();
  } else if (atCorner()) {
    deleteCorner();
  } else {
    takeAway();
  }
}

function leave() {
  if (stopDrag() || leaveCorner() || clearSketch()) {
    return;
  }
  if (state.mode !== "choose") {
    setMode("choose");
  } else {
    choose([]);
  }
}

function stepFeature(by) {
  const keys = [...state.features.keys()];
  if (!keys.length) {
    return;
  }
  const now = keys.indexOf(chosenOne() ?? [...state.chosen].at(-1));
  const key = keys[now < 0 ? (by > 0 ? 0 : keys.length - 1) : (now + by + keys.length) % keys.length];
  choose([key]);
  const feature = state.features.get(key);
  moveCrossTo(middle(feature));
  say(`${nameOf(feature)}, ${keys.indexOf(key) + 1} of ${keys.length}.`);
}

export function help() {
  const dialog = document.getElementById("help");
  const heading = element("h2", "", "Keys");
  heading.id = "help-title";
  const list = element("dl", "keys");
  const tools = TOOLS.filter((tool) => tool.key).map((tool) => [tool.key, tool.label]);
  [...tools, ...LISTED].forEach(([key, does]) =>
    list.append(element("div", "", element("dt", "", element("kbd", "", key)), element("dd", "", does))));
  const box = element("input", "");
  box.type = "checkbox";
  box.checked = letters;
  box.addEventListener("change", function () {
    letters = box.checked;
    localStorage.setItem("lawnmap-letters", letters ? "on" : "off");
  });
  const row = element("div", "row", element("label", "check", box, " Single letters are keys"),
    button("main", "Close", () => dialog.close()));
  dialog.replaceChildren(heading, row, list);
  dialog.showModal();
}
