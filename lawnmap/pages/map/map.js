/* Zones, features and layers on the map, and the colours of the theme chosen. */

const INK = "#24302a";
const NUMBERED_ALL = 60; // zones up to which every number is shown

function startMap(map, data, choose) {
  const painted = map.options.preferCanvas;
  // Leaflet rounds corners to whole pixels, which shows on curves and on paper.
  map.latLngToLayerPoint = function (at) {
    return this.project(L.latLng(at)).subtract(this.getPixelOrigin());
  };
  map.setMaxZoom(30);
  map.setMinZoom(-10);
  // A map must have a view before it takes a layer.
  const start = data.zones.length ? data.zones[0].at : [0, 0];
  map.setView(start, data.flat ? 3 : 19, { animate: false });

  const zones = painted ? paintedZones(map, data, choose) : drawnZones(map, data, choose);
  drawUnder(map, data, zones);
  drawFeatures(map, data, choose);
  const whole = zones.bounds;
  const view = startLayers(map, data, whole);
  if (whole.isValid()) {
    map.fitBounds(whole, { animate: false, padding: [14, 14] });
    map.setMinZoom(map.getZoom() - 3);
    map.setMaxZoom(map.getZoom() + 6);
    map.setMaxBounds(whole.pad(1.5));
  }
  addControls(map, data, whole);
  zones.add();
  return {
    whole: whole,
    mark: marker(map),
    paint: function (theme) {
      zones.paint(theme);
      view(theme.name);
    },
    looks: zones.looks, // fill and opacity of the zone at a place, as it is seen now
    emphasise: zones.emphasise, // a set of places in data.zones, the others step back; null: all
  };
}

/* Zones as elements, each with its pattern, its number, and a stop for the keys. */
function drawnZones(map, data, choose) {
  const layers = data.zones.map((zone) => drawZone(map, data, zone, choose));
  return {
    bounds: layers.reduce((all, layer) => all.extend(layer.getBounds()), L.latLngBounds([])),
    add: () => numberZones(map, data),
    paint: (theme) => paint(layers, data, theme),
    looks: (place) => shownLook(layers[place].getElement()),
    opacity: (value) => layers.forEach((layer) => layer.setStyle({ fillOpacity: value })),
    emphasise: (places) =>
      layers.forEach((layer, place) =>
        layer.getElement().classList.toggle("back", places !== null && !places.has(place)),
      ),
  };
}

function drawZone(map, data, zone, choose) {
  const layer = L.polygon(zone.areas, {
    color: INK,
    weight: 1.4,
    fillColor: "#ffffff",
    fillOpacity: 1,
    smoothFactor: 0,
    className: "zone",
  }).addTo(map);
  layer.on("click", () => choose({ zone: zone }));
  const verdict = data.texts[zone.verdict[0]] || "";
  const label = `${zone.number}. ${zone.name}. ${verdict}`;
  makeButton(layer.getElement(), label, () => choose({ zone: zone }));
  return layer;
}

/* Shapes are drawn corner by corner, unless there are so many that nobody could see it. */
function smoothing(map) {
  return map.options.preferCanvas ? 1 : 0;
}

function drawFeatures(map, data, choose) {
  const order = Object.keys(data.looks);
  const smooth = smoothing(map);
  const sorted = [...data.features].sort(
    (one, other) => order.indexOf(one.kind) - order.indexOf(other.kind),
  );
  sorted.forEach(function (feature) {
    const look = data.looks[feature.kind];
    const open = () => choose({ feature: feature });
    const shapes = [];
    if (feature.areas.length) {
      shapes.push(L.polygon(feature.areas, { ...look, smoothFactor: smooth }));
    }
    if (feature.lines.length) {
      const casing = { color: "#ffffff", weight: look.weight + 2.6, opacity: 0.85 };
      L.polyline(feature.lines, { ...casing, interactive: false }).addTo(map);
      shapes.push(L.polyline(feature.lines, { ...look, fill: false, interactive: true }));
    }
    feature.letters = feature.points.map(() => letterOf(feature, look));
    feature.points.forEach((at, place) => shapes.push(badge(at, feature.letters[place])));
    shapes.forEach(function (shape) {
      shape.addTo(map).on("click", function (event) {
        event.originalEvent.taken = true; // or a painted zone below it were chosen too
        open();
      });
      if (shape.options.interactive && shape.getElement()) {
        const name = [feature.label, feature.name].filter(Boolean).join(": ");
        makeButton(shape.getElement(), name, open);
      }
    });
  });
}

function letterOf(feature, look) {
  const letter = element("span", "letter", feature.letter, element("span", "stem"));
  letter.style.color = look.color;
  return letter;
}

function badge(at, letter) {
  const icon = L.divIcon({ html: letter, className: "badge-mark", iconSize: null });
  return L.marker(at, { icon: icon, keyboard: false });
}

function numberZones(map, data) {
  const labels = data.zones.map(function (zone) {
    const icon = L.divIcon({
      html: element("span", "pill", String(zone.number)),
      className: "number",
      iconSize: null,
    });
    return L.marker(zone.at, { icon: icon, interactive: false, keyboard: false });
  });
  const all = labels.length <= NUMBERED_ALL;
  function show() {
    const view = map.getBounds().pad(0.1);
    const metre = pixelsOfAMetre(map);
    labels.forEach(function (label, place) {
      const zone = data.zones[place];
      const room = 5 + 5 * String(zone.number).length; // half of what the number takes up
      const wanted = all || (zone.radius * metre >= room && view.contains(zone.at));
      if (wanted !== map.hasLayer(label)) {
        wanted ? label.addTo(map) : label.remove();
      }
    });
  }
  map.on("moveend resize", show);
  show();
}

function pixelsOfAMetre(map) {
  const middle = map.getSize().divideBy(2);
  const from = map.containerPointToLatLng(middle);
  const to = map.containerPointToLatLng(middle.add([100, 0]));
  return 100 / map.distance(from, to);
}

function addControls(map, data, whole) {
  const words = data.words;
  L.control
    .zoom({ position: "topleft", zoomInTitle: words.zoom_in, zoomOutTitle: words.zoom_out })
    .addTo(map);
  addScale(map);
  const fit = L.control({ position: "topleft" });
  fit.onAdd = function () {
    const made = button("fit", words.whole_site, () => map.fitBounds(whole, { padding: [14, 14] }));
    L.DomEvent.disableClickPropagation(made);
    hideWhileWhole(map, whole, made, { padding: 14 });
    return made;
  };
  fit.addTo(map);
}

/* Mark the zone that the panel tells of, and keep it in sight beside the panel. */
function marker(map) {
  const pane = map.createPane("chosen");
  pane.style.zIndex = 450;
  const renderer = L.svg({ pane: "chosen" }); // one outline is no burden, however many zones
  let around = null;
  return function (zone, panel) {
    if (around) {
      around.remove();
      around = null;
    }
    if (!zone) {
      return;
    }
    const look = { pane: "chosen", renderer: renderer, fill: false, interactive: false, className: "chosen" };
    around = L.polygon(zone.areas, { ...look, color: "#c2410c", weight: 4 }).addTo(map);
    const ground = map.getContainer();
    let seen = ground.clientHeight;
    if (panel.width >= window.innerWidth - 1) {
      // On a phone the panel lies over the lower part of the map.
      ground.scrollIntoView({ block: "start" });
      seen = Math.min(seen, panel.top - ground.getBoundingClientRect().top);
    }
    const at = map.latLngToContainerPoint(zone.at);
    const size = map.getSize();
    if (at.x < 20 || at.x > size.x - 20 || at.y < 20 || at.y > seen - 20) {
      map.panBy(at.subtract([size.x / 2, seen / 2]));
    }
  };
}

function paint(layers, data, theme) {
  layers.forEach(function (layer, place) {
    layer.setStyle({ fillColor: fillOf(theme, data.zones[place]) });
  });
}

/* The pattern of a zone's class. */
function fillOf(theme, zone) {
  const found = zone.classes[theme.name];
  return theme.plain ? "#ffffff" : `url(#${theme.name}-${found >= 0 ? found : "none"})`;
}

function shownLook(shape) {
  return {
    fill: shape.getAttribute("fill"),
    opacity: getComputedStyle(shape).opacity * shape.getAttribute("fill-opacity"),
  };
}
