/* The panel: tabs, what was last said, the draft that is offered, and how far it is open. */

import { button, element } from "./dom.js";
import { on, state } from "./state.js";

const SHEETS = { chosen: "Chosen", paint: "Rate", problems: "Problems", list: "List", layers: "Layers" };

const tabs = {};

export function startPanel() {
  const list = document.getElementById("tabs");
  Object.entries(SHEETS).forEach(function ([name, label]) {
    const made = button("", label, () => openSheet(name));
    Object.assign(made, { id: `tab-${name}` });
    made.setAttribute("role", "tab");
    made.setAttribute("aria-controls", `sheet-${name}`);
    const sheet = document.getElementById(`sheet-${name}`);
    sheet.setAttribute("role", "tabpanel");
    sheet.setAttribute("aria-labelledby", made.id);
    tabs[name] = made;
    list.append(made);
  });
  list.addEventListener("keydown", turn);
  startMore();
  const told = document.getElementById("said");
  on("said", function (text, level) {
    told.textContent = text;
    told.className = level;
  });
  on("chosen", () => state.chosen.size && state.mode !== "paint" && openSheet("chosen"));
  on("mode", (mode) => mode === "paint" && openSheet("paint"));
  on("problems", (count) => (tabs.problems.textContent = count ? `Problems (${count})` : "Problems"));
  openSheet("chosen");
}

export function openSheet(name) {
  Object.entries(tabs).forEach(function ([each, tab]) {
    tab.setAttribute("aria-selected", String(each === name));
    tab.tabIndex = each === name ? 0 : -1;
    document.getElementById(`sheet-${each}`).hidden = each !== name;
  });
  document.getElementById("sheets").scrollTop = 0;
}

function turn(event) {
  const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
  if (by) {
    const names = Object.keys(tabs);
    const now = names.findIndex((name) => tabs[name] === document.activeElement);
    const next = names[(now + by + names.length) % names.length];
    openSheet(next);
    tabs[next].focus();
    event.preventDefault();
  }
}

/* On a phone the panel is a sheet at the bottom that can be drawn in. */
function startMore() {
  const more = document.getElementById("more");
  more.addEventListener("click", function () {
    const open = more.getAttribute("aria-expanded") === "true";
    more.setAttribute("aria-expanded", String(!open));
    more.textContent = open ? "More" : "Less";
    document.body.classList.toggle("low", open);
  });
}

/* Offer the draft of a page that was closed or broke off before a save. */
export function offerDraft(draft, take, drop) {
  const box = document.getElementById("offer");
  const count = Object.keys(draft.changes).length;
  const when = new Date(draft.saved_at);
  const text = `There is a draft of ${count} change${count === 1 ? "" : "s"} that ${count === 1 ? "was" : "were"} not saved` +
    (Number.isNaN(when.getTime()) ? "." : `, of ${when.toLocaleString()}.`);
  const shut = (work) => () => { box.hidden = true; work(); };
  box.replaceChildren(element("p", "", text), element("div", "row",
    button("main", "Take up the draft", shut(take)), button("", "Drop it", shut(drop))));
  box.hidden = false;
}

