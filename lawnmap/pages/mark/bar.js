/* The toolbar: every tool as a word, with its key. */

import { button, element } from "./dom.js";
import { kindName } from "./looks.js";
import { formsOf, merge, pen, setPen, takeAway } from "./tools.js";
import { emit, on, redo, setMode, state, steps, undo } from "./state.js";
import { save } from "./saving.js";

export const TOOLS = [
  { mode: "choose", key: "C", label: "Choose" },
  { mode: "draw", key: "D", label: "Draw" },
  { mode: "rectangle", key: "R", label: "Rectangle" },
  { mode: "cut", key: "X", label: "Cut" },
  { mode: "hole", key: "H", label: "Hole" },
  { mode: "bed", key: "B", label: "Hole as bed" },
  { mode: "move", key: "G", label: "Move whole" },
  { mode: "paint", key: "P", label: "Rate" },
  { act: merge, key: "M", label: "Merge" },
  { act: takeAway, key: "", label: "Delete" },
];

const parts = {};

export function startBar() {
  const box = document.getElementById("tools");
  parts.tools = TOOLS.map(function (tool) {
    const made = button("tool", tool.label, () => { use(tool); fold(true); });
    if (tool.key) {
      made.setAttribute("aria-keyshortcuts", tool.key);
    }
    return made;
  });
  parts.kind = element("select", "");
  parts.form = element("select", "");
  parts.kind.addEventListener("change", () => setPen(parts.kind.value));
  parts.form.addEventListener("change", () => setPen(pen.kind, parts.form.value));
  parts.several = button("tool", "Several", several);
  parts.kind.setAttribute("aria-label", "Kind to draw");
  parts.form.setAttribute("aria-label", "Drawn as");
  const what = element("span", "what", parts.kind, parts.form);
  box.replaceChildren(...parts.tools.slice(0, 2), what, ...parts.tools.slice(2, 8), parts.several,
    ...parts.tools.slice(8));
  startSteps();
  parts.open = document.getElementById("tools-open");
  parts.open.addEventListener("click", () => fold(parts.open.getAttribute("aria-expanded") === "true"));
  on("mode", show);
  on("pen", show);
  on("mode", (mode) => (document.body.dataset.mode = mode));
  on("loaded", fill);
}

function startSteps() {
  parts.undo = button("", "Undo", undo);
  parts.redo = button("", "Redo", redo);
  parts.save = button("main", "Saved", () => save());
  document.getElementById("steps").replaceChildren(parts.undo, parts.redo, parts.save);
  on("unsaved", function (count, running) {
    const { undo: back, redo: forth } = steps();
    parts.undo.disabled = !back;
    parts.redo.disabled = !forth;
    parts.undo.title = back || "";
    parts.redo.title = forth || "";
    parts.save.disabled = !count || Boolean(running);
    parts.save.textContent = running ? "Saving…" : count ? `Save (${count})` : "Saved";
  });
}

/* On a phone the tools fold away behind one button, which then says the tool in hand. */
function fold(shut) {
  parts.open.setAttribute("aria-expanded", String(!shut));
  document.getElementById("tools").classList.toggle("open", !shut);
}

export function use(tool) {
  tool.act ? tool.act() : setMode(tool.mode);
}

export function several() {
  pen.several = !pen.several;
  setMode("choose");
  emit("pen");
}

function fill() {
  if (!parts.kind.options.length) {
    Object.keys(state.kinds).forEach(function (kind) {
      const made = element("option", "", kindName(kind));
      made.value = kind;
      parts.kind.append(made);
    });
  }
  show();
}

function show() {
  TOOLS.forEach((tool, place) => tool.mode &&
    parts.tools[place].setAttribute("aria-pressed", String(tool.mode === state.mode)));
  parts.several.setAttribute("aria-pressed", String(pen.several));
  parts.kind.value = pen.kind;
  const forms = formsOf(pen.kind);
  parts.form.replaceChildren(...forms.map((form) => element("option", "", form)));
  parts.form.value = pen.form;
  parts.form.hidden = forms.length < 2;
  const tool = TOOLS.find((each) => each.mode === state.mode);
  parts.open.textContent = tool ? `Tool: ${tool.label}` : "Tools";
}
