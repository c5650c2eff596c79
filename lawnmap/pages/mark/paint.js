/* Painting: choose a rating once, then each zone that is tapped gets it. */

import { button, fresh, make, radios, typed } from "./form_parts.js";
import { called, columnName, paintedName, word } from "./form_words.js";
import { inWords, scale } from "./scale.js";
import { withFact } from "./facts.js";
import { change, emit, isZone, on, say, setMode, state } from "./state.js";

const MOST_LISTED = 60;
const brush = { scale: "moss_rating", value: { moss_rating: 3, thatch_rating: 2 } };
const parts = {};

export function startPaint(section) {
  parts.scales = make("div", {});
  parts.start = button("", toggle, { class: "wide" });
  parts.told = make("p", { class: "note", "aria-live": "polite" });
  parts.list = listParts();
  const what = radios(
    word("paint_what"),
    Object.keys(brush.value).map((name) => ({
      value: name,
      body: make("span", {}, columnName(name)),
    })),
    takeScale,
  );
  what.show(brush.scale);
  section.replaceChildren(
    make("h2", {}, word("paint")),
    what.node,
    parts.start,
    parts.told,
    parts.scales,
    parts.list,
  );
  on("loaded", showAll);
  on("changed", (keys) => painting() && showSome(keys));
  on("mode", showAll);
  on("tapped", paint);
  section.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && painting()) {
      event.stopPropagation();
      toggle();
      parts.start.focus();
    }
  });
  showAll();
}

function painting() {
  return state.mode === "paint";
}

function toggle() {
  setMode(painting() ? "choose" : "paint");
  if (!painting()) {
    say(word("stopped"));
  }
}

function takeScale(name) {
  brush.scale = name;
  emit("rating", name);
  showAll();
}

function showAll() {
  if (parts.scale !== brush.scale || parts.classes !== state.scales) {
    const group = scale(state.scales, brush.scale, (value) => {
      brush.value[brush.scale] = value;
      showState();
    });
    group.show(brush.value[brush.scale]);
    parts.scales.replaceChildren(group.node);
    Object.assign(parts, { scale: brush.scale, classes: state.scales });
  }
  showState();
  showList();
}

function brushWords() {
  const { scale: name, value } = brush;
  return { what: paintedName(name), value: inWords(state.scales, name, value[name]) };
}

function showState() {
  parts.start.textContent = word(painting() ? "stop_painting" : "start_painting");
  parts.start.setAttribute("aria-pressed", String(painting()));
  parts.told.textContent = word(painting() ? "painting" : "paint_hint", brushWords());
}

function paint(key) {
  const feature = state.features.get(key);
  if (!isZone(feature)) {
    say(word("only_zones"), "bad");
    return;
  }
  const value = brush.value[brush.scale];
  const told = { who: called(feature, key), ...brushWords() };
  if ((feature.properties[brush.scale] ?? undefined) === value) {
    say(word("already", told));
    return;
  }
  change(word("painted", told), { [key]: withFact(feature, brush.scale, value) });
  say(word("painted", told), "good");
}

/* Every zone with its rating: what is set can be seen, and painting needs no map. */
function showList() {
  parts.list.hidden = !painting();
  if (!painting()) {
    return;
  }
  const zones = zoneKeys();
  parts.none.hidden = zones.length > 0;
  parts.finder.hidden = zones.length <= MOST_LISTED;
  const wanted = parts.finder.hidden ? "" : parts.find.value.trim().toLowerCase();
  const found = zones.filter((key) => nameOf(key).toLowerCase().includes(wanted));
  fillList(found.slice(0, MOST_LISTED), Math.max(0, found.length - MOST_LISTED));
}

function listParts() {
  parts.find = make("input", { id: fresh("find"), type: "search", autocomplete: "off" });
  parts.find.addEventListener("input", showList);
  const label = make("label", { for: parts.find.id }, word("find_zone"));
  parts.finder = make("p", {}, label, parts.find);
  parts.none = make("p", {}, word("no_zones"));
  parts.rows = new Map();
  parts.items = make("ul", {});
  const title = make("h3", {}, word("zones_set"));
  return make("div", { class: "zones" }, title, parts.none, parts.finder, parts.items);
}

function zoneKeys() {
  return [...state.features.keys()].filter((key) => isZone(state.features.get(key)));
}

function nameOf(key) {
  return called(state.features.get(key), key);
}

function fillList(keys, left) {
  const focused = [...parts.rows].find(([, row]) => row === document.activeElement)?.[0];
  parts.rows = new Map(keys.map((key) => [key, button("", () => paint(key))]));
  keys.forEach(showRow);
  const items = [...parts.rows.values()].map((row) => make("li", {}, row));
  parts.items.replaceChildren(...items);
  if (left) {
    parts.items.append(make("li", { class: "hint" }, word("more_zones", { count: left })));
  }
  parts.rows.get(focused)?.focus();
}

function showRow(key) {
  const value = state.features.get(key).properties[brush.scale] ?? undefined;
  const set = make("span", { class: "set" }, inWords(state.scales, brush.scale, value));
  parts.rows.get(key).replaceChildren(typed(nameOf(key)), " ", set);
}

/* After a stroke: the same rows say what is set now, unless zones came or went. */
function showSome(keys) {
  const came = keys.some((key) => isZone(state.features.get(key)) && !parts.rows.has(key));
  const went = keys.some((key) => !state.features.has(key) && parts.rows.has(key));
  if (came || went) {
    showList();
  } else {
    keys.filter((key) => parts.rows.has(key)).forEach(showRow);
  }
}
