/* Very many zones, painted on a canvas instead of being elements: list and search are for the keys. */

const AT_ONCE = 100; // zones in one path: longer paths take longer for each zone
const SEEN_CORNER = 1; // pixels from the last corner below which nobody sees one
const STEPPED_BACK = 0.25; // of its colour, for a zone that is not what is looked at
const NUMBER_FONT = "bold 11px sans-serif";

function paintedZones(map, data, choose) {
  const shapes = planeShapes(map, data);
  const look = { theme: { plain: true }, colours: ["#ffffff"], classes: null, opacity: 1, only: null };
  map.createPane("zones").style.zIndex = 390; // under everything that is no zone
  const canvas = startCanvas(map, "zones", (pen, view) => paintZones(pen, view, shapes, data, look, map));
  map.on("click", function (event) {
    const place = zoneAt(shapes, shapes.plane(event.latlng.lat, event.latlng.lng));
    if (place >= 0 && !event.originalEvent.taken) {
      choose({ zone: data.zones[place] });
    }
  });
  map.on("mousemove", function (event) {
    const over = zoneAt(shapes, shapes.plane(event.latlng.lat, event.latlng.lng)) >= 0;
    map.getContainer().style.cursor = over ? "pointer" : "";
  });
  return {
    bounds: shapes.bounds,
    add: () => canvas.addTo(map),
    paint: function (theme) {
      look.theme = theme;
      look.colours = ["#ffffff", ...theme.classes.map((each) => each.colour)];
      look.classes = data.zones.map((zone) => (theme.plain ? 0 : zone.classes[theme.name] + 1));
      canvas.paint();
    },
    looks: (place) => ({
      fill: fillOf(look.theme, data.zones[place]),
      opacity: look.opacity * (isBack(look, place) ? STEPPED_BACK : 1),
    }),
    opacity: function (value) {
      look.opacity = value;
      canvas.paint();
    },
    emphasise: function (places) {
      look.only = places;
      canvas.paint();
    },
  };
}

function isBack(look, place) {
  return look.only !== null && !look.only.has(place);
}

/* Corners as numbers on a plane, counted from the first so that no digit is lost by growing. */
function planeShapes(map, data) {
  const outlines = data.outlines || outlinesOf(data.zones);
  const plane = groundToPlane(map);
  const many = outlines.norths.length;
  const middle = many ? plane(outlines.norths[0], outlines.easts[0]) : [0, 0];
  const xs = new Float64Array(many);
  const ys = new Float64Array(many);
  const boxes = new Float64Array(data.zones.length * 4);
  const edges = [Infinity, Infinity, -Infinity, -Infinity];
  let at = 0;
  let wide = 0;
  outlines.rings.forEach(function (rings, zone) {
    const box = [Infinity, Infinity, -Infinity, -Infinity];
    for (const end = at + rings.reduce((sum, each) => sum + each, 0); at < end; at += 1) {
      const [north, east] = [outlines.norths[at], outlines.easts[at]];
      const [x, y] = plane(north, east);
      xs[at] = x - middle[0];
      ys[at] = y - middle[1];
      widen(box, xs[at], ys[at]);
      widen(edges, north, east);
    }
    boxes.set(box, zone * 4);
    wide += many ? box[2] - box[0] : 0;
  });
  return {
    xs: xs,
    ys: ys,
    boxes: boxes,
    rings: outlines.rings,
    side: wide / data.zones.length, // of a zone, in the middle of all
    middle: middle,
    bounds: many ? L.latLngBounds([edges[0], edges[1]], [edges[2], edges[3]]) : L.latLngBounds([]),
    plane: function (north, east) {
      const [x, y] = plane(north, east);
      return [x - middle[0], y - middle[1]];
    },
  };
}

function widen(box, x, y) {
  box[0] = Math.min(box[0], x);
  box[1] = Math.min(box[1], y);
  box[2] = Math.max(box[2], x);
  box[3] = Math.max(box[3], y);
}

/* The same flat lists as a packed page has, from zones with their corners. */
function outlinesOf(zones) {
  const corners = zones.flatMap((zone) => zone.areas.flat(2));
  return {
    norths: corners.map((each) => each[0]),
    easts: corners.map((each) => each[1]),
    rings: zones.map((zone) => zone.areas.flat(1).map((ring) => ring.length)),
  };
}

function paintZones(pen, view, shapes, data, look, map) {
  const left = shapes.middle[0] * view.grow - view.from.x;
  const top = shapes.middle[1] * view.grow - view.from.y;
  const metre = pixelsOfAMetre(map);
  const numbered = [];
  let paths = new Map();
  let waiting = 0;
  let at = 0;
  // Outlines of small zones are finer, or they would be all that is seen.
  pen.lineWidth = Math.min(1, Math.max(0.25, (shapes.side * view.grow) / 16));
  pen.strokeStyle = INK;
  shapes.rings.forEach(function (rings, place) {
    const first = at;
    at += rings.length === 1 ? rings[0] : rings.reduce((sum, each) => sum + each, 0);
    const x0 = shapes.boxes[place * 4] * view.grow + left;
    const y0 = shapes.boxes[place * 4 + 1] * view.grow + top;
    const x1 = shapes.boxes[place * 4 + 2] * view.grow + left;
    const y1 = shapes.boxes[place * 4 + 3] * view.grow + top;
    if (!(x1 >= 0 && y1 >= 0 && x0 <= view.size.x && y0 <= view.size.y)) {
      return;
    }
    const back = isBack(look, place);
    const colour = look.colours[look.classes ? look.classes[place] : 0];
    const key = back ? `${colour} back` : colour;
    if (!paths.has(key)) {
      paths.set(key, { path: new Path2D(), colour: colour, back: back });
    }
    addRings(paths.get(key).path, rings, first, shapes, view.grow, left, top);
    const zone = data.zones[place];
    if (zone.radius * metre >= 5 + 5 * String(zone.number).length) {
      numbered.push(zone);
    }
    waiting += 1;
    if (waiting === AT_ONCE) {
      fillPaths(pen, paths, look);
      paths = new Map();
      waiting = 0;
    }
  });
  fillPaths(pen, paths, look);
  writeNumbers(pen, numbered, shapes, view, left, top);
}

function addRings(path, rings, first, shapes, grow, left, top) {
  let at = first;
  for (const many of rings) {
    let x = shapes.xs[at] * grow + left;
    let y = shapes.ys[at] * grow + top;
    path.moveTo(x, y);
    for (let corner = at + 1; corner < at + many; corner += 1) {
      const nextX = shapes.xs[corner] * grow + left;
      const nextY = shapes.ys[corner] * grow + top;
      if (Math.abs(nextX - x) + Math.abs(nextY - y) >= SEEN_CORNER) {
        path.lineTo(nextX, nextY);
        x = nextX;
        y = nextY;
      }
    }
    path.closePath();
    at += many;
  }
}

function fillPaths(pen, paths, look) {
  paths.forEach(function (each) {
    const strength = each.back ? STEPPED_BACK : 1;
    pen.globalAlpha = look.opacity * strength;
    pen.fillStyle = each.colour;
    pen.fill(each.path, "evenodd");
    pen.globalAlpha = strength;
    pen.stroke(each.path);
  });
  pen.globalAlpha = 1;
}

function writeNumbers(pen, zones, shapes, view, left, top) {
  pen.font = NUMBER_FONT;
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.lineWidth = 3;
  pen.lineJoin = "round"; // or the corner of a 4 sticks out
  pen.strokeStyle = "#ffffff";
  pen.fillStyle = INK;
  zones.forEach(function (zone) {
    const [x, y] = shapes.plane(zone.at[0], zone.at[1]);
    pen.strokeText(String(zone.number), x * view.grow + left, y * view.grow + top);
    pen.fillText(String(zone.number), x * view.grow + left, y * view.grow + top);
  });
}

/* The zone on top at a place on the plane; -1 beside all of them. */
function zoneAt(shapes, [x, y]) {
  let last = shapes.xs.length;
  for (let place = shapes.rings.length - 1; place >= 0; place -= 1) {
    const many = shapes.rings[place].reduce((sum, each) => sum + each, 0);
    const box = shapes.boxes.subarray(place * 4, place * 4 + 4);
    last -= many;
    if (x >= box[0] && y >= box[1] && x <= box[2] && y <= box[3] && inRings(shapes, place, last, x, y)) {
      return place;
    }
  }
  return -1;
}

/* Even or odd: how often a line to the east crosses the edges of a zone's rings. */
function inRings(shapes, place, first, x, y) {
  let inside = false;
  let at = first;
  for (const many of shapes.rings[place]) {
    for (let here = at, before = at + many - 1; here < at + many; before = here, here += 1) {
      const y1 = shapes.ys[here];
      const y2 = shapes.ys[before];
      if (y1 > y !== y2 > y) {
        const cut = shapes.xs[here] + ((y - y1) / (y2 - y1)) * (shapes.xs[before] - shapes.xs[here]);
        inside = x < cut ? !inside : inside;
      }
    }
    at += many;
  }
  return inside;
}
