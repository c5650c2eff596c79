/* Everything on the site by name, with a search; choosing here is choosing on the map. */

import { button, element, said } from "./dom.js";
import { fitKeys } from "./map.js";
import { kindName, nameOf } from "./looks.js";
import { openSheet } from "./panel.js";
import { pen } from "./tools.js";
import { choose, emit, isZone, on, state } from "./state.js";

const MOST = 100; // rows at once

let field, rows, count;
let due = false;

export function startList() {
  field = element("input", "");
  Object.assign(field, { type: "search", autocomplete: "off", name: "search" });
  field.addEventListener("input", show);
  rows = element("ul", "plain rows");
  count = element("p", "note");
  count.setAttribute("role", "status");
  const label = element("label", "field wide", "Find by name or kind", field);
  document.getElementById("list").replaceChildren(element("h2", "", "On the site"), label, count, rows);
  on("loaded", soon);
  on("changed", soon);
  on("chosen", () => [...rows.children].forEach((row) => press(row.firstChild)));
}

export function searchList() {
  openSheet("list");
  field.focus();
}

/* Draw the list once however many strokes come at a time. */
function soon() {
  if (!due) {
    due = true;
    setTimeout(() => { due = false; show(); }, 60);
  }
}

function show() {
  const wanted = field.value.trim().toLowerCase();
  const found = [...state.features].filter(([key, feature]) =>
    !wanted || `${nameOf(feature)} ${key} ${kindName(feature.properties.feature)}`.toLowerCase().includes(wanted));
  count.textContent = found.length > MOST
    ? `${found.length} found, the first ${MOST} shown`
    : `${found.length} found`;
  const focused = document.activeElement?.dataset?.key;
  rows.replaceChildren(...found.slice(0, MOST).map(([key, feature]) => {
    const kind = element("small", "", kindName(feature.properties.feature));
    const made = button("", "", (event) => pick(key, event.shiftKey || pen.several));
    made.append(said(nameOf(feature)), kind);
    made.dataset.key = key;
    press(made);
    return element("li", "", made);
  }));
  focused && [...rows.children].find((row) => row.firstChild.dataset.key === focused)?.firstChild.focus();
}

function press(made) {
  made.setAttribute("aria-pressed", String(state.chosen.has(made.dataset.key)));
}

function pick(key, adding) {
  if (state.mode === "paint" && isZone(state.features.get(key))) {
    emit("tapped", key);
    return;
  }
  const rest = [...state.chosen].filter((each) => each !== key);
  choose(adding ? (state.chosen.has(key) ? rest : [...rest, key]) : [key]);
  adding || fitKeys([key]);
}
