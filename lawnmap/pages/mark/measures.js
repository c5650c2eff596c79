/* What is chosen in figures: area with its ±, edge, in the unit wanted. */

import { element, said } from "./dom.js";
import { kindName, nameOf } from "./looks.js";
import { chosenOne, emit, on, state } from "./state.js";
import { isArea } from "./shape.js";

// Exact since 1959: a foot is 0.3048 m, a yard 0.9144 m.
const UNITS = {
  "m²": { area: 1, length: 1, short: "m" },
  "ft²": { area: 0.3048 ** 2, length: 0.3048, short: "ft" },
  "yd²": { area: 0.9144 ** 2, length: 0.9144, short: "yd" },
};
const PLACE = "lawnmap-unit";

let unit = UNITS[localStorage.getItem(PLACE)] ? localStorage.getItem(PLACE) : "m²";
let latest = { key: undefined, answer: null };
let box;

const format = (number, digits) =>
  number.toLocaleString("en", { minimumFractionDigits: digits, maximumFractionDigits: digits });

/* The area that is treated: along the slope and without what stands in it. The ± is of this. */
export function lawnText({ area_m2: outline, ground_m2: ground, sigma_m2: sigma }) {
  return areaText(ground ?? outline, sigma);
}

/* An area in the unit chosen, to the digits that its ± lets stand. */
function areaText(area, sigma) {
  if (area === null || area === undefined) {
    return "area not known";
  }
  const by = UNITS[unit].area;
  if (sigma === null || sigma === undefined) {
    return `${format(area / by, area / by < 100 ? 2 : 1)} ${unit}`;
  }
  const digits = Math.min(2, Math.max(0, 1 - Math.floor(Math.log10(sigma / by || 1))));
  return `${format(area / by, digits)} ± ${format(sigma / by, digits)} ${unit}`;
}

export function lengthText(length) {
  const { length: by, short } = UNITS[unit];
  return `${format(length / by, 2)} ${short}`;
}

export function startMeasures() {
  box = document.getElementById("measures");
  on("chosen", show);
  on("changed", show);
  on("loaded", show);
  on("measured", function (key, answer) {
    if (key === chosenOne()) {
      latest = { key, answer };
      show();
    }
  });
  show();
}

export function unitSwitch() {
  const made = element("select", "");
  Object.keys(UNITS).forEach((name) => made.append(element("option", "", name)));
  made.value = unit;
  made.addEventListener("change", function () {
    unit = made.value;
    localStorage.setItem(PLACE, unit);
    show();
    emit("sketch");
  });
  return element("label", "field", "Areas in ", made);
}

function show() {
  const key = chosenOne();
  if (key === undefined) {
    box.replaceChildren(...(state.chosen.size ? [element("h2", "", `${state.chosen.size} chosen`)] : []));
    return;
  }
  const feature = state.features.get(key);
  const kind = kindName(feature.properties.feature);
  const heading = element("h2", "", said(nameOf(feature)), element("small", "", ` ${kind}`));
  const lines = element("dl", "figures");
  const answer = latest.key === key ? latest.answer : null;
  if (isArea(feature.geometry)) {
    const differs = Math.abs((answer?.ground_m2 ?? answer?.area_m2) - answer?.area_m2) > 0.05;
    line(lines, differs ? "Lawn" : "Area", answer ? lawnText(answer) : "…");
    if (differs) {
      line(lines, "In the outline", areaText(answer.area_m2));
    }
  }
  if (answer?.perimeter_m) {
    line(lines, isArea(feature.geometry) ? "Edge" : "Length", lengthText(answer.perimeter_m));
  }
  box.replaceChildren(heading, lines);
}

function line(list, name, value) {
  list.append(element("div", "", element("dt", "", name), element("dd", "", value)));
}
