/* What the plan would say for one zone with the changes on the page: asked, never guessed here. */

import { ask } from "./api.js";
import { button, make } from "./form_parts.js";
import { word } from "./form_words.js";
import { changes, on, state } from "./state.js";

let current;
let listening = false;

/* keyOf() tells the zone: its key may change with a save. */
export function planOf(keyOf) {
  if (!listening) {
    on("changed", () => current?.age());
    listening = true;
  }
  const answer = make("div", { class: "answer", "aria-live": "polite" });
  const shown = { asked: 0, filled: false };
  current = {
    age() {
      shown.asked += 1; // an answer on its way is of another lawn by now
      if (shown.filled) {
        shown.filled = false;
        answer.prepend(make("p", { class: "note" }, word("plan_old")));
      }
    },
  };
  async function show() {
    shown.asked += 1;
    const { asked } = shown;
    answer.replaceChildren(make("p", {}, word("plan_wait")));
    const parts = await told(keyOf());
    if (asked === shown.asked) {
      answer.replaceChildren(...parts);
      shown.filled = true;
    } else {
      answer.replaceChildren(make("p", { class: "note" }, word("plan_old")));
    }
  }
  const asking = button(word("plan"), show, { class: "wide" });
  return make("section", { class: "outlook" }, asking, answer);
}

async function told(key) {
  const zone_id = state.features.get(key)?.properties.zone_id || key;
  try {
    const found = await ask("/api/plan", { changes: changes(), zone_id });
    return [
      found.steps.length ? list("ol", found.steps) : make("p", {}, word("plan_none")),
      ...titled("plan_warnings", found.warnings, "warnings"),
      ...titled("plan_why", found.why, "why"),
    ];
  } catch (problem) {
    const text = [problem.message, problem.error?.remedy].filter(Boolean).join(". ");
    return [make("p", { class: "wrong", role: "alert" }, text)];
  }
}

function titled(key, lines, className) {
  return lines?.length ? [make("h4", {}, word(key)), list("ul", lines, className)] : [];
}

function list(name, lines, className = "steps") {
  return make(name, { class: className }, ...lines.map((line) => make("li", {}, String(line))));
}
