/* Put the page together, then load the site. */

import { Refused, ask, takeToken } from "./api.js";
import { fitAll, startMap } from "./map.js";
import { startBar } from "./bar.js";
import { startCorners } from "./corners.js";
import { startCross } from "./cross.js";
import { startDraw } from "./draw.js";
import { startExact } from "./exact.js";
import { startForms } from "./forms.js";
import { startKeys } from "./keys.js";
import { startLegend } from "./legend.js";
import { startLayers } from "./layers.js";
import { startList } from "./list.js";
import { startMeasure } from "./measure.js";
import { startMeasures } from "./measures.js";
import { offerDraft, startPanel } from "./panel.js";
import { startProblems } from "./problems.js";
import { hold, keep, startSaving } from "./saving.js";
import { startTools } from "./tools.js";
import { startWhole } from "./whole.js";
import { change, changes, load, say, state } from "./state.js";

async function start() {
  startMap();
  // Corners hear the pointer before a whole feature does, and that before the map.
  [startCorners, startWhole, startTools, startCross, startDraw, startBar, startPanel, startMeasures,
    startMeasure, startExact, startProblems, startList, startKeys, startLegend, startForms, startSaving]
    .forEach((begin) => begin());
  let site;
  try {
    await takeToken();
    site = await ask("/api/site");
  } catch (error) {
    if (!(error instanceof Refused)) {
      throw error;
    }
    say(`The site was not loaded: ${error.error.problem}.`, "bad");
    return;
  }
  load(site);
  document.getElementById("title").textContent = state.title || "Site without a name";
  document.title = `${state.title || "Site"}: marking zones`;
  fitAll();
  say(state.features.size
    ? `${state.features.size} features at revision ${state.revision}.`
    : "Nothing is drawn yet: press Draw.");
  if (site.draft && Object.keys(site.draft.changes).length) {
    hold(site.draft.changes);
    offerDraft(site.draft, () => takeUp(site.draft), drop);
  }
  startLayers();
  document.documentElement.dataset.ready = "yes";
}

/* What was done on the page since stands over the draft. */
function takeUp(draft) {
  const before = state.revision;
  const given = { ...draft.changes, ...changes() };
  hold({});
  // A save has to be compared with what the draft began from, not with what came since.
  state.revision = draft.revision;
  change("Take up the draft", given);
  say(draft.revision === before
    ? "The draft is on the map; save it when it is right."
    : "The draft is on the map. The site was changed since: saving will ask where both differ.");
}

function drop() {
  hold({});
  keep();
}

start();
