/* The cross on the map that keys move, for everything a pointer does by its place. */

import { chart, goTo } from "./map.js";
import { element } from "./dom.js";
import { snap } from "./snap.js";

let at = null; // a place on the ground, so that it stays there when the map moves
let shape;

export function startCross() {
  shape = chart.map.getContainer().appendChild(element("div", "cross"));
  shape.hidden = true;
  shape.setAttribute("aria-hidden", "true");
  chart.map.on("move zoomend resize", draw);
}

/* Where the cross is: in the middle of the map until it was moved. */
export function cross() {
  if (!at || !chart.map.getBounds().contains([at[1], at[0]])) {
    const centre = chart.map.getCenter();
    at = [centre.lng, centre.lat];
  }
  return at;
}

export function showCross() {
  cross();
  shape.hidden = false;
  draw();
}

export function hideCross() {
  shape.hidden = true;
}

export const crossShown = () => !shape.hidden;

/* Move by pixels; the map follows at its edge. */
export function moveCross(right, down) {
  const to = chart.pixel(cross()).add([right, down]);
  const size = chart.map.getSize();
  at = chart.lonlat(to);
  if (to.x < 30 || to.y < 30 || to.x > size.x - 30 || to.y > size.y - 30) {
    chart.map.panBy([Math.sign(right) * size.x * 0.3, Math.sign(down) * size.y * 0.3], { animate: false });
  }
  showCross();
}

export function moveCrossTo(place) {
  at = place;
  if (!chart.map.getBounds().contains([at[1], at[0]])) {
    goTo(at);
  }
  showCross();
}

/* Where a corner comes that is put by key: on a neighbour's corner or edge when it is near. */
export function crossSnapped(options) {
  return snap(cross(), options)?.at || cross();
}

function draw() {
  if (at && !shape.hidden) {
    const { x, y } = chart.pixel(at);
    shape.style.transform = `translate(${x}px, ${y}px)`;
  }
}
