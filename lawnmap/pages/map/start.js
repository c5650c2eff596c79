/* Put map, panel, list and paper together; should anything fail, the still page stays. */

function start() {
  const data = unpacked(JSON.parse(document.getElementById("lawnmap-data").textContent));
  const map = window.map_lawnmap;
  let open = () => {};
  startUnits();
  map.invalidateSize({ animate: false });
  const drawn = startMap(map, data, (chosen) => open(chosen));
  let list = null;
  let ofDay = null; // places of the zones of the day that is chosen
  startViews(map, data, drawn, function (places) {
    ofDay = places;
    list?.ofDay(places);
  });
  function rest() {
    const comment = startComments(data, document.querySelector(".comments"));
    list = startList(data, (chosen) => open(chosen));
    list.ofDay(ofDay);
    const moveTo = function (zone, panel) {
      drawn.mark(zone, panel);
      list.mark(zone);
    };
    open = startPanel(data, document.querySelector(".panel"), moveTo, comment);
    if (drawn.whole.isValid()) {
      startPaper(map, data, drawn);
    }
    window.removeEventListener("error", stayStill);
  }
  // A long page shows its map before it makes anything else.
  data.packed ? requestAnimationFrame(() => setTimeout(rest)) : rest();
}

start();
