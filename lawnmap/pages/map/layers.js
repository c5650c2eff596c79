/* Worked-out layers: each has a box in the legend, and is drawn when it is first switched on. */

const HAIRLINE = 0.4; // pixels, the least that a line is drawn with
const DASHED = 0.8; // pixels below which dashes run into each other

/* Returns what switches the layers that come with a view on, and with another view off again. */
function startLayers(map, data, whole) {
  const boxes = [];
  const marks = startMarks(map, data, whole);
  const pane = map.createPane("layers");
  pane.style.zIndex = 410; // over the zones
  pane.style.pointerEvents = "none"; // a tap is for the zone below
  data.layers.forEach(function (layer, place) {
    const box = document.querySelector(`[data-layer="${place}"]`);
    let drawn = null;
    async function show() {
      if (box.checked && !drawn) {
        // A long page has layers in parcels; while one is opened the box may change again.
        const whole = layer.parcel ? await openParcel(layer.parcel) : layer;
        drawn = drawn || drawLayer(map, whole);
      }
      if (drawn && box.checked) {
        drawn.group.addTo(map);
        marks.show(drawn);
      } else if (drawn) {
        drawn.group.remove();
        marks.hide(drawn);
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

/* A layer's shapes, and its words where they are few enough to be elements. */
function drawLayer(map, layer) {
  const look = { ...layer.look, look: layer.look, interactive: false, pane: "layers" };
  const shapes = [];
  if (layer.areas.length) {
    shapes.push(L.polygon(layer.areas, look));
  }
  if (layer.lines.length) {
    shapes.push(thinning(map, L.polyline(layer.lines, { ...look, fill: false }), layer.look));
  }
  layer.images.forEach((each) =>
    shapes.push(L.imageOverlay(each.url, each.corners, { pane: "layers", opacity: 0.8 })),
  );
  const group = L.layerGroup(shapes);
  if (layer.marks.length > MARKED) {
    return { group: group.addLayer(paintedMarks(map, layer)), marks: [] };
  }
  return { group: group, marks: layer.marks.map((each) => ({ ...each, shown: markOf(each, look.color) })) };
}

/* Lines that lie close on the ground grow thin with the map, so that they stay lines. */
function thinning(map, line, look) {
  function fit() {
    const wide = Math.min(look.weight, Math.max(HAIRLINE, look.ground * pixelsOfAMetre(map)));
    line.setStyle({ weight: wide, dashArray: wide < DASHED ? null : look.dashArray });
  }
  if (look.ground) {
    map.on("zoomend", fit);
    fit();
  }
  return line;
}
