/* Two surveys: zones coloured as they were found before, and as they are now, on each other's place. */

/* Returns what turns the view on and off; legend fills the legend by a theme. */
function startBefore(map, data, legend) {
  const before = data.before;
  if (!before || !before.measures.length) {
    return () => {};
  }
  const pane = map.createPane("before");
  pane.style.zIndex = 390; // under the features; the zones have no colour of their own meanwhile
  const chosen = { side: "then", measure: before.measures[0] };
  const drawn = {};
  let shown = null;

  function paint() {
    const { side, measure } = chosen;
    drawn[side] = drawn[side] || sideOf(map, data, side);
    if (shown !== drawn[side]) {
      shown && shown.remove();
      shown = drawn[side].addTo(map);
    }
    measure[side].forEach(function (found, place) {
      const known = found >= 0;
      const pattern = `url(#${measure.name}-${known ? found : "none"})`;
      const colour = known ? measure.classes[found].colour : "#ffffff";
      const painted = map.options.preferCanvas;
      shown.getLayers()[place].setStyle({ fillColor: painted ? colour : pattern });
    });
    legend(measure);
  }

  const sides = ["then", "now"].map((side) => ({ title: before[side], side: side }));
  const tools = element(
    "div",
    "before-tools",
    toggle("before-side", before.title, sides, function ({ side }) {
      chosen.side = side;
      paint();
    }),
    before.measures.length > 1
      ? toggle("before-measure", before.colour, before.measures, function (measure) {
          chosen.measure = measure;
          paint();
        })
      : "",
  );
  tools.hidden = true;
  document.querySelector(".ground").before(tools);

  return function (on) {
    tools.hidden = !on;
    if (on) {
      paint();
    } else if (shown) {
      shown.remove();
      shown = null;
    }
  };
}

/* The zones of one survey: those of before have the outlines of before. */
function sideOf(map, data, side) {
  const areas = side === "then" ? data.before.outlines : data.zones.map((zone) => zone.areas);
  const look = {
    pane: "before",
    interactive: false,
    color: INK,
    weight: 1.4,
    fillOpacity: 1,
    className: "side",
  };
  return L.layerGroup(areas.map((each) => L.polygon(each, look)));
}

/* A choice of one, the first chosen. */
function toggle(name, title, choices, choose) {
  const made = radios(name, choices, choose);
  made.check(choices[0]);
  return element("fieldset", "toggle", element("legend", "", title), ...made.labels);
}

/* What the panel of a zone shows of both surveys: what was found, what can be said, photos. */
function beforeSection(data, zone) {
  const place = zone.number - 1;
  const found = data.before && data.before.zones[place];
  const photos = data.photos && data.photos[place].some((each) => each.length) && data.photos[place];
  if (!found && !photos) {
    return [];
  }
  const title = data.before ? data.before.title : data.photos_title;
  return [
    element("h3", "", title),
    found ? sidesTable(data.before, found) : "",
    ...(found ? found.said.map((each) => element("p", "told", said(each))) : []),
    photos ? photoPair(photos) : "",
  ];
}

function sidesTable(before, found) {
  const head = ["", before.then, before.now].map((each) => element("th", "", each));
  head.forEach((each) => (each.scope = "col"));
  const rows = found.rows.map(function ([label, ...looks]) {
    const first = element("th", "", label);
    first.scope = "row";
    return element("tr", "", first, ...looks.map((each) => element("td", "", said(each))));
  });
  return element(
    "table",
    "sides",
    element("thead", "", element("tr", "", ...head)),
    element("tbody", "", ...rows),
  );
}

function photoPair(sides) {
  const columns = sides
    .filter((photos) => photos.length)
    .map((photos) => element("div", "", ...photos.map(photoOf)));
  return element("div", "photos", ...columns);
}

function photoOf(photo) {
  const image = element("img", "");
  image.alt = photo.alt;
  image.width = photo.wide;
  image.height = photo.high;
  image.src = photo.url;
  return element("figure", "", image, element("figcaption", "", photo.caption));
}
