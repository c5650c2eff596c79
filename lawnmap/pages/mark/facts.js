/* The facts of what is chosen: one feature or several at once. Only touched facts are written. */

import { groupsOf, zoneGroups } from "./fact_groups.js";
import { field, mixture, select } from "./fields.js";
import { make, typed } from "./form_parts.js";
import { called, columnName, groupName, word } from "./form_words.js";
import { photos } from "./photos.js";
import { planOf } from "./plan.js";
import { inWords, measuredName, scale } from "./scale.js";
import { change, on, say, state } from "./state.js";

const shut = new Map(); // whether a group was shut or opened by hand, by its key

let place;
let form = { keys: [], fields: new Map(), kind: undefined, flush: () => {} };

export function startFacts(section) {
  place = section;
  on("chosen", render);
  on("loaded", renew);
  on("changed", (keys) => keys.some((key) => form.keys.includes(key)) && refresh());
  // Saving by a key leaves no field, so what was typed has to be taken up first.
  document.addEventListener("keydown", (event) => saves(event) && form.flush(), true);
  render();
}

function saves(event) {
  return (event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "s";
}

function render() {
  form.flush();
  const keys = [...state.chosen].filter((key) => state.features.has(key));
  if (keys.length && String(keys) === String(form.keys) && kindOf(keys) === form.kind) {
    refresh();
    return;
  }
  form = { keys, fields: new Map(), kind: kindOf(keys), flush: () => {} };
  const heading = make("h2", { id: "facts_heading" }, word("facts"));
  if (!keys.length) {
    place.replaceChildren(heading, make("p", { class: "hint" }, word(nothing())));
    return;
  }
  place.replaceChildren(heading, ...about(keys), ...named(), ...groups(form.kind, keys));
  if (keys.length === 1) {
    place.append(photos(() => keys[0]));
  }
  form.flush = flusher(form);
  refresh();
}

/* What to say when nothing is chosen: on an empty site, how to begin. */
function nothing() {
  return state.features.size ? "nothing_chosen" : "nothing_drawn";
}

/* After a save the same features may have other keys; what is being typed stays where it is. */
function renew() {
  const keys = [...state.chosen];
  if (keys.length && keys.length === form.keys.length && kindOf(keys) === form.kind) {
    form.keys.splice(0, keys.length, ...keys);
    refresh();
  } else {
    render();
  }
}

/* What was typed and not yet left belongs to the features it was typed for. */
function flusher(made) {
  return () => made.fields.forEach((each) => each.flush());
}

function kindOf(keys) {
  const kinds = new Set(keys.map((key) => state.features.get(key).properties.feature));
  return kinds.size === 1 ? [...kinds][0] : undefined;
}

function about(keys) {
  if (keys.length > 1) {
    const key = form.kind ? "several" : "several_kinds";
    return [make("p", { class: "who" }, word(key, { count: keys.length }))];
  }
  if (form.kind !== "zone") {
    return [];
  }
  const facts = state.features.get(keys[0]).properties;
  const known = [["zone_id", `${facts.zone_id || keys[0]} (${word("never_changes")})`]];
  if (facts.came_from) {
    known.push(["came_from", facts.came_from]);
  }
  const lines = known.map(([name, said]) =>
    make("div", {}, make("dt", {}, columnName(name)), make("dd", {}, typed(said))),
  );
  return [make("dl", { class: "known" }, ...lines), planOf(() => keys[0])];
}

function groups(kind, keys) {
  const { zones, features } = state.columns;
  const given = kind === "zone" ? zoneGroups(zones) : groupsOf(kind, factsAt(keys), features);
  return given.map(({ key, names, open }) => group(key, names, open));
}

function factsAt(keys) {
  return keys.map((key) => state.features.get(key)?.properties).filter(Boolean);
}

function group(key, own, open) {
  const box = make("details", { class: `group group-${key}`, open: shut.get(key) ?? open });
  box.addEventListener("toggle", () => shut.set(key, box.open));
  box.append(make("summary", {}, make("h3", {}, groupName(key))));
  box.append(...fieldsOf(own));
  return box;
}

function fieldsOf(own) {
  const table = state.columns[form.kind === "zone" ? "zones" : "features"] || [];
  const columns = own.map((name) => table.find((column) => column.name === name)).filter(Boolean);
  return columns.map((column) => {
    const made = fieldOf(column);
    form.fields.set(column.name, made);
    return made.node;
  });
}

/* The name needs neither heading nor explanation. */
function named() {
  const [node] = fieldsOf(["name"]);
  node?.querySelector(".hint")?.remove();
  return node ? [node] : [];
}

function fieldOf(column) {
  const { keys } = form;
  const put = (value) => write(keys, column, value);
  if (state.scales[column.name]) {
    return rating(column, put);
  }
  if (column.name === "zone_id") {
    return select(column, put, zoneNames());
  }
  const made = field(column, put);
  if (column.name === "private_note") {
    const mark = make("strong", { class: "private" }, word("private"));
    made.node.querySelector("label").append(" ", mark);
    made.node.querySelector(".hint").textContent = word("private_hint");
  } else if (column.name === "public_note") {
    made.node.querySelector(".hint").textContent = word("public_hint");
  }
  return made;
}

function zoneNames() {
  return [...state.features.values()]
    .filter((feature) => feature.properties.feature === "zone")
    .map((feature) => feature.properties.zone_id)
    .filter(Boolean);
}

/* A rating says, too, when a measured value goes before it. */
function rating(column, put) {
  const group = scale(state.scales, column.name, put);
  const mixed = mixture(column, put);
  const measured = make("p", { class: "note", hidden: true }, word("measured_first"));
  group.node.append(mixed.node, measured);
  group.node.setAttribute("data-column", column.name);
  return {
    node: group.node,
    show(values, all) {
      const one = mixed.show(values);
      if (one) {
        group.show(values[0]);
      } else {
        group.none();
      }
      const other = measuredName(column.name);
      measured.hidden = !all.some((facts) => has(facts[other]) && has(facts[column.name]));
    },
    flush() {},
  };
}

function has(value) {
  return value !== undefined && value !== null;
}

function refresh() {
  const all = factsAt(form.keys);
  if (all.length !== form.keys.length || !all.length) {
    return; // the choice is about to follow
  }
  form.fields.forEach((made, name) => made.show(all.map((facts) => facts[name] ?? undefined), all));
}

/* Write one fact into all of them as one stroke. */
function write(keys, column, value) {
  const given = {};
  keys.filter((key) => state.features.has(key)).forEach((key) => {
    const feature = state.features.get(key);
    if ((feature.properties[column.name] ?? undefined) !== value) {
      given[key] = withFact(feature, column.name, value);
    }
  });
  if (!Object.keys(given).length) {
    return;
  }
  const what = columnName(column.name);
  const who = whoOf(keys);
  change(`${what}: ${who}`, given);
  const said = state.scales[column.name] ? inWords(state.scales, column.name, value) : value;
  say(word(has(value) ? "set" : "emptied", { what, who, value: said }), "good");
}

export function withFact(feature, name, value) {
  const facts = { ...feature.properties };
  if (has(value)) {
    facts[name] = value;
  } else {
    delete facts[name];
  }
  return { ...feature, properties: facts };
}

function whoOf(keys) {
  if (keys.length === 1) {
    return called(state.features.get(keys[0]), keys[0]);
  }
  return word(form.kind === "zone" ? "zones" : "features", { count: keys.length });
}
