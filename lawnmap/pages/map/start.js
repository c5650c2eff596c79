/* Put map, panel, list and paper together; should anything fail, the still page stays. */

function start() {
  const data = JSON.parse(document.getElementById("lawnmap-data").textContent);
  const map = window.map_lawnmap;
  let open = () => {};
  map.invalidateSize({ animate: false });
  const drawn = startMap(map, data, (chosen) => open(chosen));
  const comment = startComments(data, document.querySelector(".comments"));
  open = startPanel(data, document.querySelector(".panel"), drawn.mark, comment);
  startList(data, open);
  startChooser(data, drawn.paint);
  if (drawn.whole.isValid()) {
    startPaper(map, data, drawn.whole);
  }
}

document.documentElement.classList.add("scripted");
try {
  start();
} catch (error) {
  document.documentElement.classList.remove("scripted");
  throw error;
}
