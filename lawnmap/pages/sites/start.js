/* Put map, list, panel and choices together; should anything fail, the still page stays. */

function start() {
  const data = JSON.parse(document.getElementById("lawnmap-data").textContent);
  let open = () => {};
  startUnits();
  window.map_lawnmap?.invalidateSize({ animate: false });
  const map = window.map_lawnmap ? startMap(window.map_lawnmap, data, (place) => open(place)) : null;
  const list = data.sites ? startList(data, (place) => open(place)) : null;
  if (list) {
    open = startPanel(data, document.querySelector(".panel"), function (place, panel) {
      list.mark(place);
      map?.mark(place, panel);
    });
  }
  startChoosing(data, function (places) {
    list?.choose(places);
    map?.choose(places);
  });
  window.removeEventListener("error", stayStill);
}

start();
