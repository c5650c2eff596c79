/* Worked-out layers: each has a box in the legend, and is drawn when it is first switched on. */

const MARK_ROOM = 8; // pixels from the middle of a mark to its edge
const MORE_ROOM = 40; // pixels of ground on each side of a mark that says more

/* Returns what switches the layers that come with a view on, and with another view off again. */
function startLayers(map, data) {
  const boxes = [];
  const pane = map.createPane("layers");
  pane.style.zIndex = 410; // over the zones
  pane.style.pointerEvents = "none"; // a tap is for the zone below
  data.layers.forEach(function (layer, place) {
    const box = document.querySelector(`[data-layer="${place}"]`);
    let drawn = null;
    function show() {
      if (box.checked) {
        drawn = drawn || drawLayer(map, layer);
        drawn.addTo(map);
      } else if (drawn) {
        drawn.remove();
      }
    }
    box.addEventListener("change", function () {
      box.dataset.own = "yes"; // from now on it is the visitor's, whatever the view
      show();
    });
    boxes.push({ box: box, view: layer.view, show: show });
    show();
  });
  return function (view) {
    boxes
      .filter((each) => each.view && !each.box.dataset.own)
      .forEach(function (each) {
        each.box.checked = each.view === view;
        each.show();
      });
  };
}

function drawLayer(map, layer) {
  const look = { ...layer.look, interactive: false, pane: "layers" };
  const shapes = [];
  if (layer.areas.length) {
    shapes.push(L.polygon(layer.areas, look));
  }
  if (layer.lines.length) {
    shapes.push(L.polyline(layer.lines, { ...look, fill: false }));
  }
  layer.images.forEach((each) =>
    shapes.push(L.imageOverlay(each.url, each.corners, { pane: "layers", opacity: 0.8 })),
  );
  const group = L.layerGroup(shapes);
  const marks = layer.marks.map((each) => ({ ...each, shown: markOf(each, look.color) }));
  function fit() {
    const metre = pixelsOfAMetre(map);
    marks.forEach(function (mark) {
      const fits = mark.room === null || mark.room * metre >= MARK_ROOM;
      const plenty = mark.more && mark.room * metre >= MORE_ROOM;
      mark.shown.options.icon.options.html.textContent = plenty
        ? `${mark.text}: ${mark.more}`
        : mark.text;
      fits ? group.addLayer(mark.shown) : group.removeLayer(mark.shown);
    });
  }
  map.on("zoomend", fit);
  fit();
  return group;
}

function markOf(each, colour) {
  const text = element("span", "layer-mark", each.text);
  text.style.borderColor = colour;
  const icon = L.divIcon({ html: text, className: "badge-mark", iconSize: null });
  return L.marker(each.at, { icon: icon, interactive: false, keyboard: false });
}
