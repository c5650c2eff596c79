/* What is on the page: features, what is chosen, and every stroke so that it can be undone.

   Features are never changed in place: a stroke puts another object under the same key. So what is
   the same object is unchanged, and a step only has to keep what stood there before.

   Events, by on(name, fn):
     "changed" (keys)          features were changed, added or taken away
     "loaded" ()               everything is new: after loading and after a save
     "chosen" ()               another choice; see state.chosen
     "mode" (mode)             another tool; see state.mode
     "moving" (key, feature)   a corner is being dragged; not a stroke yet
     "measured" (key, answer)  of /api/measure, also while a corner moves
     "judged" (key, answer)    of /api/judge
     "tapped" (key)            a feature was tapped while the mode is "paint"
     "said" (text, level)      level is "note", "good" or "bad"
     "server" (here)           whether the server answers
     "unsaved" (count)         how many features differ from the saved site
     "clash" (answer)          of a save that meets another's: {conflicts, features}; settle it by
                               save(choices) of saving.js */

const MOST_STEPS = 200;

export const state = {
  features: new Map(),
  base: new Map(), // as last loaded or saved
  revision: 0,
  title: "",
  placed: true,
  chosen: new Set(),
  mode: "choose",
  columns: {},
  kinds: {},
  scales: {},
  limits: {},
  together: true, // shared corners move together
  busy: false, // a drag is under way
};

const listeners = new Map();
let done = [];
let undone = [];
let made = 0;

export function on(event, fn) {
  if (!listeners.has(event)) {
    listeners.set(event, []);
  }
  listeners.get(event).push(fn);
}

export function emit(event, ...given) {
  (listeners.get(event) || []).forEach((fn) => fn(...given));
}

export function say(text, level = "note") {
  emit("said", text, level);
}

/* Take what /api/site or /api/save answered. `kept` are strokes made meanwhile, by key. */
export function load(answer, kept = {}) {
  ["title", "revision", "placed", "columns", "kinds", "scales", "limits"].forEach(function (name) {
    if (answer[name] !== undefined) {
      state[name] = answer[name];
    }
  });
  state.base = new Map(answer.features);
  state.features = new Map(answer.features);
  put(kept);
  state.chosen = new Set([...state.chosen].filter((key) => state.features.has(key)));
  emit("loaded");
  emit("chosen");
  emit("unsaved", unsaved());
}

/* Make one stroke: `given` has the new feature by key, or null where one goes. */
export function change(label, given) {
  const before = {};
  Object.keys(given).forEach((key) => (before[key] = state.features.get(key) || null));
  const step = { label: label, before: before, after: { ...given } };
  done.push(step);
  done = done.slice(-MOST_STEPS);
  undone = [];
  apply(given);
  return step;
}

/* Add to a stroke what the server made of it, unless something came after it. */
export function amend(step, given) {
  if (done.at(-1) !== step) {
    return false;
  }
  Object.keys(given).forEach(function (key) {
    if (!(key in step.before)) {
      step.before[key] = state.features.get(key) || null;
    }
    step.after[key] = given[key];
  });
  apply(given);
  return true;
}

export function undo() {
  const step = done.pop();
  if (step) {
    undone.push(step);
    apply(step.before);
    say(`Undone: ${step.label}`);
  }
  return step;
}

export function redo() {
  const step = undone.pop();
  if (step) {
    done.push(step);
    apply(step.after);
    say(`Done again: ${step.label}`);
  }
  return step;
}

export function steps() {
  return { undo: done.at(-1)?.label, redo: undone.at(-1)?.label, count: done.length };
}

/* Give the keys in the history their new names after a save, which numbers features anew. */
export function rename(names) {
  const free = new Map(names);
  const taken = new Set(names.values());
  const renamed = (given) =>
    Object.fromEntries(
      Object.entries(given).map(function ([key, feature]) {
        if (!free.has(key)) {
          free.set(key, taken.has(key) ? newKey(feature) : key);
        }
        return [free.get(key), feature];
      }),
    );
  [...done, ...undone].forEach(function (step) {
    step.before = renamed(step.before);
    step.after = renamed(step.after);
  });
}

export function changes() {
  const found = {};
  state.features.forEach(function (feature, key) {
    if (!same(feature, state.base.get(key))) {
      found[key] = feature;
    }
  });
  state.base.forEach(function (_, key) {
    if (!state.features.has(key)) {
      found[key] = null;
    }
  });
  return found;
}

export function unsaved() {
  return Object.keys(changes()).length;
}

export function same(one, other) {
  return one === other || JSON.stringify(one) === JSON.stringify(other);
}

export function choose(keys) {
  const wanted = [...keys].filter((key) => state.features.has(key));
  if (wanted.length === state.chosen.size && wanted.every((key) => state.chosen.has(key))) {
    return;
  }
  state.chosen = new Set(wanted);
  emit("chosen");
}

export function setMode(mode) {
  if (mode !== state.mode) {
    state.mode = mode;
    emit("mode", mode);
  }
}

/* The one feature that is chosen, else nothing. */
export function chosenOne() {
  return state.chosen.size === 1 ? [...state.chosen][0] : undefined;
}

export function isZone(feature) {
  return feature?.properties.feature === "zone";
}

export function zoneIds() {
  const all = [...state.features.keys(), ...state.base.keys()];
  return all.filter((key) => isZone(state.features.get(key) || state.base.get(key)));
}

/* A key nobody has: a zone's is a zone_id and goes into the site, any other is for this page. */
export function newKey(feature) {
  const head = isZone(feature) ? "zone-" : "n";
  const taken = new Set([...state.features.keys(), ...state.base.keys()]);
  const used = [...done, ...undone].flatMap((step) => Object.keys(step.after));
  used.forEach((key) => taken.add(key));
  do {
    made += 1;
  } while (taken.has(`${head}${made}`));
  return `${head}${made}`;
}

function put(given) {
  Object.entries(given).forEach(function ([key, feature]) {
    if (feature) {
      state.features.set(key, feature);
    } else {
      state.features.delete(key);
    }
  });
}

function apply(given) {
  put(given);
  const gone = [...state.chosen].filter((key) => !state.features.has(key));
  gone.forEach((key) => state.chosen.delete(key));
  emit("changed", Object.keys(given));
  if (gone.length) {
    emit("chosen");
  }
  emit("unsaved", unsaved());
}
