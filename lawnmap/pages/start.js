/* Put map, panel, list and print together; should anything fail, the still page stays. */

function fitToPaper(map, whole) {
  let kept = null;
  window.matchMedia("print").addEventListener("change", function (query) {
    if (query.matches) {
      kept = { middle: map.getCenter(), zoom: map.getZoom(), snap: map.options.zoomSnap };
      map.options.zoomSnap = 0;
      map.invalidateSize({ animate: false });
      map.fitBounds(whole, { animate: false, padding: [10, 10] });
    } else if (kept) {
      map.options.zoomSnap = kept.snap;
      map.invalidateSize({ animate: false });
      map.setView(kept.middle, kept.zoom, { animate: false });
      kept = null;
    }
  });
}

function start() {
  const data = JSON.parse(document.getElementById("lawnmap-data").textContent);
  const map = window.map_lawnmap;
  let open = () => {};
  map.invalidateSize({ animate: false });
  const drawn = startMap(map, data, (chosen) => open(chosen));
  open = startPanel(data, document.querySelector(".panel"), drawn.mark);
  startList(data, open);
  startChooser(data, drawn.paint);
  if (drawn.whole.isValid()) {
    fitToPaper(map, drawn.whole);
  }
}

document.documentElement.classList.add("scripted");
try {
  start();
} catch (error) {
  document.documentElement.classList.remove("scripted");
  throw error;
}
