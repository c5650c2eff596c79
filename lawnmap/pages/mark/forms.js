/* The forms beside the map: facts of what is chosen, painting, and what two people both changed. */

import { startClash } from "./clash.js";
import { startFacts } from "./facts.js";
import { startPaint } from "./paint.js";
import { save } from "./saving.js";

export function startForms() {
  startFacts(document.getElementById("facts"));
  startPaint(document.getElementById("paint"));
  startClash(document.getElementById("clash"), save);
}
