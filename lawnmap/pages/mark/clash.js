/* What both sides changed, each in its own way: shown side by side, and one is chosen for each.

   Nothing is written until everything is chosen; leaving the dialog loses nothing of either. */

import { unitOf } from "./fields.js";
import { button, make, radios, typed } from "./form_parts.js";
import { called, columnName, word } from "./form_words.js";
import { outline } from "./outline.js";
import { inWords } from "./scale.js";
import { on, say, state } from "./state.js";

const GEOMETRY = "geometry";
const WHOLE = "feature itself";
const SIDES = ["mine", "theirs"];

let dialog;

export function startClash(element, save) {
  dialog = element;
  dialog.setAttribute("aria-labelledby", "clash_heading");
  on("clash", async (answer) => {
    const choices = await settle(answer.conflicts || []);
    if (choices) {
      await save(choices);
    } else {
      say(word("nothing_lost"));
    }
  });
}

/* Show the conflicts; gives {key: {field: "mine" | "theirs"}}, or null when nothing was chosen. */
export function settle(conflicts) {
  const choices = new Map(conflicts.map((conflict) => [conflict, undefined]));
  const groups = new Map();
  const told = make("p", { class: "note", role: "status" });
  function pick(conflict, side) {
    choices.set(conflict, side);
    tell(told, choices);
  }
  conflicts.forEach((conflict) => {
    groups.set(conflict, question(conflict, (side) => pick(conflict, side)));
  });
  function all(side) {
    groups.forEach((group, conflict) => {
      group.show(side);
      pick(conflict, side);
    });
  }
  return new Promise((resolve) => {
    let result = null;
    function done() {
      const open = [...choices].find(([, side]) => side === undefined);
      if (open) {
        tell(told, choices);
        groups.get(open[0]).focus();
        return;
      }
      result = byKey(choices);
      dialog.close();
    }
    dialog.replaceChildren(...layout(conflicts, groups, told, all, done));
    dialog.addEventListener("close", () => resolve(result), { once: true });
    tell(told, choices);
    dialog.showModal();
    dialog.querySelector("h2").focus();
  });
}

function layout(conflicts, groups, told, all, done) {
  const keys = [...new Set(conflicts.map((conflict) => conflict.key))];
  return [
    make("h2", { id: "clash_heading", tabindex: "-1" }, word("clash")),
    make("p", {}, word("clash_lead")),
    make(
      "p",
      { class: "buttons" },
      button(word("all_mine"), () => all("mine")),
      button(word("all_theirs"), () => all("theirs")),
    ),
    ...keys.map((key) => {
      const own = conflicts.filter((conflict) => conflict.key === key);
      const title = make("h3", {}, typed(nameOf(own[0])));
      const questions = own.map((conflict) => groups.get(conflict).node);
      return make("section", { class: "group" }, title, ...questions);
    }),
    make(
      "div",
      { class: "foot" },
      told,
      make(
        "p",
        { class: "buttons" },
        button(word("settle"), done, { class: "main" }),
        button(word("not_now"), () => dialog.close()),
      ),
      make("p", { class: "hint" }, word("not_now_hint")),
    ),
  ];
}

function tell(told, choices) {
  const count = [...choices.values()].filter((side) => side === undefined).length;
  told.textContent = count ? word("choose_first", { count }) : "";
}

function byKey(choices) {
  const found = {};
  choices.forEach((side, conflict) => {
    found[conflict.key] = { ...found[conflict.key], [conflict.field]: side };
  });
  return found;
}

function nameOf(conflict) {
  const whole = [conflict.mine, conflict.theirs, conflict.base].find((side) => side?.properties);
  const feature = state.features.get(conflict.key) || state.base.get(conflict.key) || whole;
  return feature ? called(feature, conflict.key) : conflict.key;
}

/* One field: what stood there before, and two radio buttons that show what each side made of it. */
function question(conflict, pick) {
  const options = SIDES.map((side) => ({
    value: side,
    body: make("span", { class: "side" }, make("b", {}, word(side)), shown(conflict, side)),
  }));
  const group = radios(fieldName(conflict.field), options, pick, { class: "sides" });
  const before = make("p", { class: "before" }, ...stood(conflict));
  group.title.after(before);
  return group;
}

function fieldName(field) {
  if (field === GEOMETRY) {
    return word("outline");
  }
  return field === WHOLE ? word("whole") : columnName(field);
}

function stood(conflict) {
  if (conflict.field === GEOMETRY) {
    return [word("outline_key")];
  }
  const whole = conflict.field === WHOLE && word(conflict.base ? "was_there" : "was_not");
  return [`${word("before")}: `, whole || valueOf(conflict.field, conflict.base)];
}

function shown(conflict, side) {
  const { field } = conflict;
  if (field === GEOMETRY) {
    return outline(conflict, side, (each) => conflict[each]);
  }
  if (field === WHOLE && conflict[side]) {
    const drawn = outline(conflict, side, (each) => conflict[each]?.geometry);
    return make("span", {}, word("there"), drawn, factsOf(conflict[side]));
  }
  return valueOf(field, conflict[side]);
}

/* The facts of a whole feature, for a side that is to be kept or lost with all of them. */
function factsOf(feature) {
  const lines = Object.entries(feature.properties)
    .filter(([name, value]) => name !== "feature" && value !== null)
    .map(([name, value]) => [`${columnName(name)}: `, valueOf(name, value)])
    .map((parts) => make("span", { class: "line" }, ...parts));
  return make("span", { class: "lines" }, ...lines);
}

function valueOf(name, value) {
  if (value === null || value === undefined) {
    return make("em", {}, name === WHOLE ? word("gone") : word("empty"));
  }
  if (state.scales[name]) {
    return make("span", {}, inWords(state.scales, name, value));
  }
  if (typeof value === "boolean") {
    return make("span", {}, word(value ? "yes" : "no"));
  }
  const column = Object.values(state.columns).flat().find((each) => each.name === name);
  const unit = typeof value === "number" && column ? unitOf(column) : "";
  const text = typeof value === "object" ? JSON.stringify(value) : value;
  return make("span", {}, typed(text), unit && ` ${unit}`);
}
