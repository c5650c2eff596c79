/* The button that brings all of it back: there is nothing to press while all of it is seen. */

function hideWhileWhole(map, whole, made, { padding, maxZoom = Infinity }) {
  function look() {
    const fitted = Math.min(map.getBoundsZoom(whole, false, L.point(2 * padding, 2 * padding)), maxZoom);
    made.hidden = map.getZoom() === fitted && map.getBounds().contains(whole);
  }
  map.on("moveend zoomend resize", look);
  look();
}
