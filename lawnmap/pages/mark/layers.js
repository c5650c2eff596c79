/* Plan pictures under the zones, and what can be set for this page. */

import { ask } from "./api.js";
import { button, element } from "./dom.js";
import { chart, fitAll, seeThrough } from "./map.js";
import { help } from "./keys.js";
import { lost } from "./saving.js";
import { unitSwitch } from "./measures.js";
import { state } from "./state.js";

const SEEN_THROUGH = 0.45; // of a zone's colour while a picture lies under it

let pictures = [];

export async function startLayers() {
  const box = document.getElementById("layers");
  const shown = element("div", "");
  box.replaceChildren(element("h2", "", "Layers"), shown, element("h2", "", "This page"),
    unitSwitch(), together(),
    element("div", "row", button("", "Whole site", () => fitAll(frames())), button("", "Keys (?)", help)));
  shown.append(element("p", "note", "This site has no plan picture."));
  try {
    pictures = (await ask("/api/pictures")).map(layer);
  } catch (error) {
    lost(error);
  }
  if (pictures.length) {
    shown.replaceChildren(...pictures.map((each) => each.row));
    seeThrough(SEEN_THROUGH);
    state.features.size || fitAll(frames());
  }
}

const frames = () => pictures.map((each) => each.bounds);

function layer({ name, src, bounds }) {
  const [w, s, e, n] = bounds;
  const options = { pane: "pictures", alt: "", interactive: false };
  const overlay = L.imageOverlay(src, [[s, w], [n, e]], options).addTo(chart.map);
  const box = element("input", "");
  Object.assign(box, { type: "checkbox", checked: true });
  const slider = element("input", "");
  Object.assign(slider, { type: "range", min: 0, max: 100, value: 100, step: 5 });
  box.addEventListener("change", function () {
    box.checked ? overlay.addTo(chart.map) : overlay.remove();
    seeThrough(pictures.some((each) => each.box.checked) ? SEEN_THROUGH : 1);
  });
  slider.addEventListener("input", () => overlay.setOpacity(slider.value / 100));
  const row = element("fieldset", "layer", element("legend", "", name),
    element("label", "check", box, " shown"), element("label", "field", "Strength ", slider));
  return { row, box, bounds };
}

function together() {
  const box = element("input", "");
  Object.assign(box, { type: "checkbox", checked: state.together });
  box.addEventListener("change", () => (state.together = box.checked));
  return element("label", "check", box, " Corners that zones share move together");
}
