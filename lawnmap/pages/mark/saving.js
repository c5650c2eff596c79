/* Draft and save. A stroke is in the draft as soon as the server has it; a save goes through the
   store. When the server is gone the strokes stay in memory and go out as soon as it answers. */

import { Refused, ask } from "./api.js";
import { changes, emit, load, on, rename, say, state, unsaved } from "./state.js";

const AGAIN_MS = 2_000;
const ALIVE_MS = 60_000; // the server stops when nobody has asked for half an hour

let here = true;
let keeping = null; // the draft that is on its way
let again = false;
let saving = false;
let offered = {}; // of an earlier draft that is neither taken up nor dropped: never overwritten

/* Keep an earlier draft beside new strokes until somebody has decided about it. */
export function hold(draft) {
  offered = draft;
}

export function startSaving() {
  on("changed", () => keep());
  window.addEventListener("beforeunload", function (event) {
    if (unsaved()) {
      event.preventDefault();
    }
  });
  setInterval(alive, ALIVE_MS);
}

/* Take note that a request failed because nobody answered; tells whether that was why. */
export function lost(error) {
  if (!(error instanceof Refused)) {
    throw error;
  }
  if (error.status !== 0) {
    return false;
  }
  if (here) {
    here = false;
    emit("server", false);
    say("lawnmap does not answer. Your strokes are kept in this page; leave it open.", "bad");
    setTimeout(alive, AGAIN_MS);
  }
  return true;
}

async function alive() {
  try {
    await ask("/api/side", { from: [0, 0], to: [0, 0.001] });
  } catch (error) {
    if (error.status === 0) {
      lost(error);
      setTimeout(alive, AGAIN_MS);
      return;
    }
  }
  if (!here) {
    here = true;
    emit("server", true);
    say("lawnmap answers again; nothing was lost.", "good");
    keep();
  }
}

/* Send the draft; while one is on its way the next waits, and only the newest goes out. */
export function keep() {
  again = true;
  if (!keeping && !saving) {
    keeping = sendDrafts().finally(() => (keeping = null));
  }
}

async function sendDrafts() {
  while (again && here && !saving) {
    again = false;
    const now = { ...offered, ...changes() };
    try {
      if (Object.keys(now).length) {
        await ask("/api/draft", { revision: state.revision, changes: now });
      } else {
        await ask("/api/forget", {});
      }
    } catch (error) {
      if (!lost(error)) {
        say(`The draft was not kept: ${error.error.problem}`, "bad");
      }
    }
  }
}

/* Save everything; `choices` settle what clashed: {key: {field: "mine" | "theirs"}}. */
export async function save(choices = {}) {
  if (saving || !unsaved()) {
    saving || say("Nothing was changed since the last save.");
    return false;
  }
  saving = true;
  emit("unsaved", unsaved(), true);
  try {
    await keeping; // a draft that arrived after the save would be offered for nothing
    const sent = new Map(state.features);
    const now = changes();
    const answer = await ask("/api/save", { revision: state.revision, changes: now, choices });
    take(answer, sent);
    // The server drops the draft with a save; one that nobody has decided about goes back.
    again = again || Object.keys(offered).length > 0;
    say([`Saved as revision ${answer.revision}.`, ...(answer.warnings || [])].join(" "), "good");
    return true;
  } catch (error) {
    refused(error);
    return false;
  } finally {
    saving = false;
    emit("unsaved", unsaved());
    if (again) {
      keep();
    }
  }
}

function refused(error) {
  const clash = [error.body, error.error, error.body?.result].find((each) => each?.conflicts);
  if (clash) {
    say("Somebody else saved meanwhile: choose what stands.", "bad");
    emit("clash", clash);
  } else if (!lost(error)) {
    const { problem, place, remedy, key, at } = error.error;
    say(["Not saved:", place, problem + ".", remedy].filter(Boolean).join(" "), "bad");
    emit("judged", key || "save", { problems: [{ problem, remedy, at }] });
  }
}

/* Take the saved features over; strokes made while the save was on its way stay on top. */
function take(answer, sent) {
  const names = new Map(Object.entries(answer.names || {}));
  const kept = {};
  new Set([...sent.keys(), ...state.features.keys()]).forEach(function (key) {
    const now = state.features.get(key);
    if (now !== sent.get(key)) {
      kept[names.get(key) || key] = now || null;
    }
  });
  rename(names);
  state.chosen = new Set([...state.chosen].map((key) => names.get(key) || key));
  load(answer, kept);
}
