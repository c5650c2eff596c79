/* Panes and tabs, the map, and the beginning; should anything fail, the plain page stays. */

const current = { pane: "zones", part: "facts", map: null, mine: null };
const MAPPED = 1000; // px from which the map stands beside the panes

function show(pane) {
  const wide = document.body.classList.contains("mapped") && window.innerWidth >= MAPPED;
  const lists = { zones: showZones, reply: showReply };
  lists[pane]?.();
  if (!(wide && pane === "map")) {
    current.pane = pane;
    document.querySelectorAll(".panes > section").forEach((each) => {
      each.hidden = each.id !== `pane-${pane}`;
    });
  }
  document.getElementById("pane-map").hidden = !(pane === "map" || wide);
  document.querySelectorAll(".tabs button").forEach((each) => {
    const open = each.dataset.pane === current.pane || (pane === "zone" && each.dataset.pane === "zones");
    each.setAttribute("aria-current", open ? "page" : "false");
  });
  if (pane === "map" || wide) {
    showMap();
  }
}

/* The map is drawn when it is first seen: before that it has no size. */
function showMap() {
  const map = window.map_lawnmap;
  map.invalidateSize({ animate: false });
  if (current.map) {
    return;
  }
  current.map = map;
  startMap(map, data, (chosen) => {
    if (!picking && chosen.zone) {
      openLawn(zoneLawn(chosen.zone));
    }
  });
  map.on("click", (event) => {
    if (picking) {
      picking([event.latlng.lng, event.latlng.lat].map((each) => Number(each.toFixed(7))));
    }
  });
  current.mine = L.layerGroup().addTo(map);
  drawMine();
}

/* Cores and places of this visit, as dots. */
function drawMine() {
  if (!current.mine) {
    return;
  }
  current.mine.clearLayers();
  [...state.cores, ...state.places].forEach((each) => {
    if (each.lonlat) {
      const icon = L.divIcon({ html: element("span", "dot"), className: "mine", iconSize: null });
      const at = [each.lonlat[1], each.lonlat[0]];
      L.marker(at, { icon: icon, interactive: false, keyboard: false }).addTo(current.mine);
    }
  });
}

function startTabs() {
  const panes = ["zones", "map", "sketch", "answers", "reply"].filter(
    (pane) => pane !== "map" || data.zones.length,
  );
  const tabs = document.querySelector(".tabs");
  tabs.setAttribute("aria-label", say.tabs);
  panes.forEach((pane) => {
    const tab = button(`tab-${pane}`, say[`tab_${pane}`], () => {
      show(pane);
      window.scrollTo(0, 0);
    });
    tab.dataset.pane = pane;
    tabs.append(tab);
  });
}

function start() {
  document.body.classList.toggle("mapped", data.zones.length > 0);
  startTabs();
  showSketch();
  showAnswers();
  show("zones");
  keep();
  // Not on every resize: a phone's keyboard is one, and would take the field away.
  window.matchMedia(`(min-width: ${MAPPED}px)`).addEventListener("change", () => show(current.pane));
}

document.documentElement.classList.add("scripted");
try {
  start();
} catch (error) {
  document.documentElement.classList.remove("scripted");
  throw error;
}
