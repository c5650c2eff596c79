/* What lies under the zones: plan pictures, and a map from outside where one was asked for. */

const SEEN_THROUGH = 0.6; // of a zone's colour, over what lies under it

/* Each has a switch, and the zones are seen through while any is on. */
function drawUnder(map, data, zones) {
  const boxes = [];
  function see() {
    zones.opacity(boxes.some((box) => box.checked) ? SEEN_THROUGH : 1);
  }
  if (data.pictures.length) {
    map.createPane("pictures").style.zIndex = 350;
    const look = { pane: "pictures", alt: data.words.picture };
    const pictures = data.pictures.map((each) => L.imageOverlay(each.url, each.corners, look));
    boxes.push(underSwitch(map, data.words.picture, L.layerGroup(pictures), see));
  }
  if (data.basemap) {
    boxes.push(underSwitch(map, data.basemap.label, tilesOf(data.basemap), see));
    const said = L.control({ position: "bottomright" });
    said.onAdd = () => element("p", "attribution", data.basemap.attribution);
    said.addTo(map);
  }
  if (boxes.length) {
    see();
  }
}

function underSwitch(map, label, layer, see) {
  const box = element("input", "");
  box.type = "checkbox";
  box.checked = true;
  box.addEventListener("change", function () {
    box.checked ? layer.addTo(map) : layer.remove();
    see();
  });
  const control = L.control({ position: "bottomright" });
  control.onAdd = function () {
    const made = element("label", "switch", box, " ", label);
    L.DomEvent.disableClickPropagation(made);
    return made;
  };
  control.addTo(map);
  layer.addTo(map);
  return box;
}

function tilesOf(basemap) {
  return L.tileLayer(basemap.url, {
    maxNativeZoom: basemap.max_zoom,
    maxZoom: 30,
    minZoom: 0,
    referrerPolicy: "no-referrer",
  });
}
