/* The map of sites: painted anew whenever it comes to rest elsewhere, or others are chosen. */

const REACH = 8; // pixels beside a mark that still are it, for a finger

function startMap(map, data, open) {
  const marks = startMarks(data, map);
  const whole = L.latLngBounds(marks.at);
  let wanted = marks.at.map((_, mark) => mark);
  let chosen = -1;
  let drawn = [];
  map.setView(whole.getCenter(), 10, { animate: false });
  map.createPane("zones").style.zIndex = 400;
  const flat = groundToPlane(map);
  const canvas = startCanvas(map, "zones", function (pen, view) {
    drawn = binned(marks, wanted, view.grow);
    paintBins(pen, data, drawn, { ...view, flat: flat }, chosen);
  });
  canvas.addTo(map);
  map.fitBounds(whole, { animate: false, padding: [30, 30], maxZoom: 16 });
  map.setMaxBounds(whole.pad(1.5).extend(map.getBounds()));
  map.setMinZoom(map.getZoom() - 2);
  addControls(map, data.words, whole);

  /* The bin that is drawn at a place of the map, the smallest of several. */
  function binAt(place) {
    const [x, y] = flat(place.lat, place.lng).map((each) => each * 2 ** map.getZoom());
    const near = drawn.filter((bin) => Math.hypot(bin.x - x, bin.y - y) <= bin.radius + REACH);
    return near[near.length - 1];
  }

  map.on("click", function (event) {
    const bin = binAt(event.latlng);
    if (bin && bin.place >= 0) {
      open(bin.place);
    } else if (bin) {
      const around = L.latLngBounds(bin.marks.map((mark) => marks.at[mark])).pad(0.1);
      map.fitBounds(around, { maxZoom: Math.min(map.getZoom() + 4, 19) });
    }
  });
  startTold(map, data, binAt);
  return {
    /* A set of places of sites; null is all. */
    choose: function (places) {
      wanted = marks.at.map((_, mark) => mark).filter((mark) => !places || places.has(marks.places[mark]));
      const around = places ? L.latLngBounds(wanted.map((mark) => marks.at[mark])) : whole;
      if (around.isValid()) {
        map.fitBounds(around, { animate: false, padding: [30, 30], maxZoom: 16 });
      }
      canvas.paint();
    },
    mark: function (place, panel) {
      chosen = place === null ? -1 : marks.places.indexOf(place);
      canvas.paint();
      if (chosen >= 0) {
        show(map, marks.at[chosen], panel);
      }
    },
  };
}

/* Bring a site into the part of the map that no panel covers. */
function show(map, at, panel) {
  const ground = map.getContainer();
  let seen = ground.clientHeight;
  if (panel.width >= window.innerWidth - 1) {
    ground.scrollIntoView({ block: "start" });
    seen = Math.min(seen, panel.top - ground.getBoundingClientRect().top);
  }
  const size = map.getSize();
  const point = map.latLngToContainerPoint(at);
  if (point.x < 20 || point.x > size.x - 20 || point.y < 20 || point.y > seen - 20) {
    map.panBy(point.subtract([size.x / 2, seen / 2]));
  }
}

/* What a mouse rests on is told beside it. */
function startTold(map, data, binAt) {
  const told = L.tooltip({ direction: "top", offset: [0, -8], className: "told" });
  map.on("mousemove", function (event) {
    const bin = binAt(event.latlng);
    map.getContainer().style.cursor = bin ? "pointer" : "";
    if (!bin) {
      told.remove();
      return;
    }
    told.setLatLng(event.latlng).setContent(element("div", "", said(toldOf(data, bin))));
    told.addTo(map);
  });
  map.on("mouseout", () => told.remove());
}

function toldOf(data, bin) {
  if (bin.place >= 0) {
    return `${data.sites.title[bin.place]}: ${data.states[bin.states.indexOf(1)].label}`;
  }
  const parts = bin.states
    .map((many, state) => (many ? `${many} ${data.states[state].label}` : ""))
    .filter(Boolean);
  return `${data.words.sum_of} ${bin.count}: ${parts.join(", ")}`;
}

function addControls(map, words, whole) {
  L.control
    .zoom({ position: "topleft", zoomInTitle: words.zoom_in, zoomOutTitle: words.zoom_out })
    .addTo(map);
  addScale(map);
  const fit = L.control({ position: "topleft" });
  fit.onAdd = function () {
    const back = () => map.fitBounds(whole, { padding: [30, 30], maxZoom: 16 });
    const made = button("fit", words.whole_map, back);
    L.DomEvent.disableClickPropagation(made);
    hideWhileWhole(map, whole, made, { padding: 30, maxZoom: 16 });
    return made;
  };
  fit.addTo(map);
}
