/* The drawing on the map: one layer a feature, redrawn when its feature is another object.

   No layer listens to the pointer: what lies under a place is found from the geometry itself, so
   that it is the same for shapes that are elements and for shapes painted on a canvas. */

import { CHOSEN, INK, letterOf, look, nameOf, zoneColour } from "./looks.js";
import { isZone, on, state } from "./state.js";
import { bounds, holds, isArea, near, rings } from "./shape.js";
import { element } from "./dom.js";

const PAINTED_FROM = 300; // features; beyond this shapes are painted on a canvas
const MOST_NAMES = 120; // shown at once
const NAME_EDGE = 12; // pixels that a name takes beside its letters
const NAME_LETTER = 7.2; // pixels of a letter, about
const FAR = 19; // zoom below which points are dots

export const chart = {
  map: null,
  pixel: ([lon, lat]) => chart.map.latLngToContainerPoint([lat, lon]),
  lonlat(point) {
    const at = chart.map.containerPointToLatLng(point);
    return [at.lng, at.lat];
  },
};

const layers = new Map(); // key -> {layer, feature, colour}
const around = new Map(); // key -> the line round what is chosen
const names = new Map();
let renderers = {};
let rating = "moss_rating"; // what zones are coloured by
let veil = 1;

export function startMap() {
  const map = L.map("map", {
    zoomControl: false, attributionControl: false, keyboard: false, boxZoom: false,
    doubleClickZoom: false, zoomAnimation: false, fadeAnimation: false, zoomSnap: 0.25,
    minZoom: 2, maxZoom: 27,
  });
  // Leaflet rounds corners to whole pixels, which shows while a corner is dragged.
  map.latLngToLayerPoint = function (at) {
    return this.project(L.latLng(at)).subtract(this.getPixelOrigin());
  };
  chart.map = map;
  map.setView([0, 0], 19);
  [["pictures", 350], ["zones", 400], ["others", 420], ["chosen", 450], ["names", 460],
    ["grips", 650]].forEach(([name, level]) => (map.createPane(name).style.zIndex = level));
  L.control.scale({ position: "bottomleft", maxWidth: 130, imperial: false }).addTo(map);
  const zoom = { position: "topright", zoomInTitle: "Nearer", zoomOutTitle: "Further off" };
  L.control.zoom(zoom).addTo(map);
  new ResizeObserver(() => map.invalidateSize({ animate: false, pan: false })).observe(map.getContainer());
  map.on("moveend", showNames);
  const far = () => map.getContainer().classList.toggle("far", map.getZoom() < FAR);
  map.on("zoomend", far);
  on("changed", (keys) => { keys.forEach(draw); mark(); showNames(); });
  on("loaded", drawAll);
  on("chosen", mark);
  on("rating", colourBy);
}

function colourBy(name) {
  rating = name;
  state.features.forEach((feature, key) => isZone(feature) && draw(key));
}

/* See pictures through the zones, 0 to 1. */
export function seeThrough(part) {
  veil = part;
  layers.forEach((each) => each.layer.setStyle && isZone(each.feature) &&
    each.layer.setStyle({ fillOpacity: veil }));
}

function drawAll() {
  [...layers.keys()].forEach((key) => state.features.has(key) || draw(key));
  const painted = state.features.size > PAINTED_FROM;
  if (renderers.painted !== painted) {
    [...layers.keys()].forEach(remove);
    const make = (pane) => (painted ? L.canvas({ pane }) : L.svg({ pane, padding: 0.5 }));
    renderers = { painted, zones: make("zones"), others: make("others") };
  }
  state.features.forEach((_, key) => draw(key));
  mark();
  showNames();
}

function remove(key) {
  layers.get(key)?.layer.remove();
  layers.delete(key);
}

function draw(key) {
  const feature = state.features.get(key);
  if (!feature) {
    remove(key);
  } else {
    show(key, feature);
  }
}

/* Draw a feature as given, which may be one that is just being moved. */
export function show(key, feature) {
  const paint = isZone(feature) ? zoneColour(feature, rating, state.scales) : "";
  const old = layers.get(key);
  if (old && old.feature === feature && old.colour === paint) {
    return;
  }
  const type = feature.geometry.type;
  if (old && old.type === type && old.layer.setLatLngs && old.kind === feature.properties.feature) {
    old.layer.setLatLngs(latLngs(feature.geometry));
    if (paint !== old.colour) {
      old.layer.setStyle({ fillColor: paint });
    }
    Object.assign(old, { feature: feature, colour: paint });
  } else {
    remove(key);
    const kind = feature.properties.feature;
    layers.set(key, { layer: made(feature, paint).addTo(chart.map), feature, colour: paint, type, kind });
  }
  around.get(key)?.setLatLngs?.(latLngs(feature.geometry));
}

function made(feature, paint) {
  const kind = feature.properties.feature;
  if (feature.geometry.type === "Point") {
    const letter = element("span", "letter", letterOf(kind));
    letter.style.setProperty("--kind", look(kind).color);
    const icon = L.divIcon({ html: letter, className: "badge-mark", iconSize: null });
    return L.marker(latLngs(feature.geometry), { icon, interactive: false, keyboard: false, pane: "others" });
  }
  const zone = kind === "zone";
  const style = zone
    ? { color: INK, weight: 1.4, fillColor: paint, fillOpacity: veil, pane: "zones", renderer: renderers.zones }
    : { ...look(kind), pane: "others", renderer: renderers.others };
  const options = { ...style, interactive: false, smoothFactor: 0 };
  const shape = isArea(feature.geometry) ? L.polygon : L.polyline;
  return shape(latLngs(feature.geometry), { ...options, fill: isArea(feature.geometry) && options.fill !== false });
}

const LEVELS = { Point: -1, LineString: 0, MultiLineString: 1, Polygon: 1, MultiPolygon: 2 };
export function latLngs(geometry) {
  const { type, coordinates } = geometry;
  return type === "Point"
    ? L.latLng(coordinates[1], coordinates[0])
    : L.GeoJSON.coordsToLatLngs(coordinates, LEVELS[type]);
}

/* Draw the line round what is chosen. */
function mark() {
  around.forEach((layer) => layer.remove());
  around.clear();
  state.chosen.forEach(function (key) {
    const { geometry } = state.features.get(key);
    const style = { pane: "chosen", color: CHOSEN, weight: 3.5, fill: false, interactive: false, smoothFactor: 0 };
    const at = latLngs(geometry);
    const layer = geometry.type === "Point"
      ? L.circleMarker(at, { ...style, radius: 15 })
      : (isArea(geometry) ? L.polygon : L.polyline)(at, style);
    layer.setLatLngs ||= (moved) => layer.setLatLng(moved);
    around.set(key, layer.addTo(chart.map));
  });
}

/* Name those zones that have room for their name. */
function showNames() {
  const wanted = new Map();
  const view = viewBox();
  for (const [key, feature] of state.features) {
    if (wanted.size < MOST_NAMES && isZone(feature) && near(bounds(feature), view)) {
      const [west, south, east, north] = bounds(feature);
      const width = chart.pixel([east, north]).x - chart.pixel([west, south]).x;
      const text = nameOf(feature);
      if (width > NAME_EDGE + NAME_LETTER * text.length) {
        wanted.set(key, text);
      }
    }
  }
  names.forEach((label, key) => label.text === wanted.get(key) && label.feature === state.features.get(key)
    || (label.layer.remove(), names.delete(key)));
  wanted.forEach(function (text, key) {
    if (!names.has(key)) {
      const feature = state.features.get(key);
      const icon = L.divIcon({ html: element("span", "pill", text), className: "number", iconSize: null });
      const [lon, lat] = middle(feature);
      const options = { icon, interactive: false, keyboard: false, pane: "names" };
      names.set(key, { layer: L.marker([lat, lon], options).addTo(chart.map), text, feature });
    }
  });
}

/* A place inside an area: the middle of the widest stretch across its height. */
export function middle(feature) {
  const [west, south, east, north] = bounds(feature);
  const centre = [(west + east) / 2, (south + north) / 2];
  if (!isArea(feature.geometry)) {
    return rings(feature.geometry)[0].points[0];
  }
  let best = { wide: 0, at: centre };
  [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8].forEach(function (part) {
    const lat = south + part * (north - south);
    const across = crossings(feature.geometry, lat);
    for (let place = 0; place + 1 < across.length; place += 2) {
      const wide = across[place + 1] - across[place];
      if (wide > best.wide * 1.15) {
        best = { wide, at: [(across[place] + across[place + 1]) / 2, lat] };
      }
    }
  });
  return best.at;
}

function crossings(geometry, lat) {
  const found = [];
  rings(geometry).forEach(({ points }) =>
    points.forEach(function ([x1, y1], place) {
      const [x0, y0] = points.at(place - 1);
      if (y0 > lat !== y1 > lat) {
        found.push(x0 + ((lat - y0) / (y1 - y0)) * (x1 - x0));
      }
    }),
  );
  return found.sort((one, other) => one - other);
}

/* Everything under a place, what lies on top first. */
export function under(at, reach) {
  const pixel = chart.pixel(at);
  const low = chart.lonlat(pixel.add([-reach, reach]));
  const high = chart.lonlat(pixel.add([reach, -reach]));
  const found = [];
  state.features.forEach(function (feature, key) {
    const box = bounds(feature);
    if (!near(box, [...low, ...high])) {
      return;
    }
    const area = (box[2] - box[0]) * (box[3] - box[1]);
    if (isArea(feature.geometry)) {
      if (holds(feature.geometry, at)) {
        found.push([isZone(feature) ? 2 : 1, area, key]);
      }
    } else if (awayFrom(feature.geometry, pixel) <= reach) {
      found.push([0, area, key]);
    }
  });
  return found.sort((one, other) => one[0] - other[0] || one[1] - other[1]).map((each) => each[2]);
}

function awayFrom(geometry, pixel) {
  let least = Infinity;
  rings(geometry).forEach(({ points }) =>
    points.map(chart.pixel).forEach(function (point, place, all) {
      const before = all[Math.max(0, place - 1)];
      least = Math.min(least, L.LineUtil.pointToSegmentDistance(pixel, before, point));
    }),
  );
  return least;
}

function viewBox() {
  const view = chart.map.getBounds();
  return [view.getWest(), view.getSouth(), view.getEast(), view.getNorth()];
}

export function fitAll(more = []) {
  chart.map.invalidateSize({ animate: false, pan: false }); // the legend may just have come
  const all = [...[...state.features.values()].map(bounds), ...more];
  fit(all);
}

export function fitKeys(keys) {
  fit([...keys].map((key) => bounds(state.features.get(key))), 22);
}

/* Do what takes room from the map, and keep in view what was wholly in view before. */
export function keepInView(keys, work) {
  const whole = boxAround([...keys].map((key) => bounds(state.features.get(key))));
  const seen = chart.map.getBounds().contains(whole);
  work();
  chart.map.invalidateSize({ animate: false, pan: false });
  if (seen && !chart.map.getBounds().contains(whole)) {
    fitKeys(keys);
  }
}

function boxAround(boxes) {
  const whole = L.latLngBounds([]);
  boxes.forEach(([w, s, e, n]) => whole.extend([s, w]).extend([n, e]));
  return whole;
}

function fit(boxes, nearest = 24) {
  const whole = boxAround(boxes);
  if (whole.isValid()) {
    chart.map.fitBounds(whole, { animate: false, padding: [26, 26], maxZoom: nearest });
  }
}

/* Bring a place into view if it is not. */
export function goTo([lon, lat]) {
  chart.map.setView([lat, lon], Math.max(chart.map.getZoom(), 20), { animate: false });
}
