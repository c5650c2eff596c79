/* The switch of units. The page holds each figure in all three systems; styles show one of them. */

const UNITS_KEPT = "lawnmap units";
const READINGS = ".metric, .imperial, .us";

function startUnits() {
  const choices = [...document.querySelectorAll(".units input")];
  const kept = keptUnits();
  if (choices.some((each) => each.value === kept)) {
    document.body.dataset.units = kept;
  }
  choices.forEach(function (choice) {
    choice.checked = choice.value === shownUnits();
    choice.addEventListener("change", function () {
      document.body.dataset.units = choice.value;
      keepUnits(choice.value);
      document.dispatchEvent(new Event("units"));
    });
  });
}

function shownUnits() {
  return document.body.dataset.units || "metric";
}

/* Do something that depends on the units now, and again whenever they are switched. */
function inUnits(action) {
  action(shownUnits());
  document.addEventListener("units", () => action(shownUnits()));
}

/* A page from disk may not be let keep anything; the switch then works as long as it is open. */
function keptUnits() {
  try {
    return localStorage.getItem(UNITS_KEPT);
  } catch {
    return null;
  }
}

function keepUnits(system) {
  try {
    localStorage.setItem(UNITS_KEPT, system);
  } catch {
    // it is chosen anew next time
  }
}

/* The text of an element with the readings that are shown, though it may not be shown itself. */
function shownText(shown) {
  const copy = shown.cloneNode(true);
  const hidden = `:is(${READINGS}):not(.${shownUnits()})`;
  copy.querySelectorAll(hidden).forEach((each) => each.remove());
  return copy.textContent;
}

/* Leaflet's scale is in metres or in feet. */
function addScale(map) {
  let scale = null;
  inUnits(function (system) {
    scale?.remove();
    const metric = system === "metric";
    const options = { position: "bottomleft", maxWidth: 140, metric: metric, imperial: !metric };
    scale = L.control.scale(options).addTo(map);
  });
}
