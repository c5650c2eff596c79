/* The grips drawn at corners and in the middle of sides.

   They are only drawn and focused: what a pointer means is the nearest one within reach, so that
   grips that lie close do not cover one another. */

import { chart } from "./map.js";
import { samePath } from "./corner_work.js";
import { element } from "./dom.js";

const MOST = 150;
const APART = 13; // [px] that grips must be apart to be drawn; nearer ones come with a closer look
const MID_ROOM = 44; // [px] a side needs for a grip in its middle

let grips = [];

export function isAt(grip, corner) {
  return corner && !grip.mid && grip.place === corner.place && samePath(grip.path, corner.path);
}

/* Draw grips for rings; `corner` is the one that keys act on, `focused` hears which is reached. */
export function drawGrips(rings, { corner, mids, focused }) {
  const had = grips.find((grip) => grip.shape === document.activeElement);
  const found = wanted(rings, corner, mids);
  while (grips.length > found.length) {
    grips.pop().shape.remove();
  }
  found.forEach((grip, place) => (grips[place] = dressed(grips[place], grip, corner, focused)));
  if (had && !had.shape.isConnected) {
    chart.map.getContainer().focus();
  }
}

function wanted(rings, corner, mids) {
  const size = chart.map.getSize();
  const seen = ({ x, y }) => x > -30 && y > -30 && x < size.x + 30 && y < size.y + 30;
  const found = [];
  const between = [];
  rings.forEach(function ({ path, points, closed }) {
    const pixels = points.map(chart.pixel);
    let last = null;
    points.forEach(function (at, place) {
      const grip = { path, place, at, of: points.length, mid: false };
      const clear = !mids || !last || last.distanceTo(pixels[place]) >= APART;
      if (seen(pixels[place]) && (clear || isAt(grip, corner))) {
        last = pixels[place];
        found.push(grip);
      }
      const next = (place + 1) % points.length;
      const joined = next !== 0 || (closed && points.length > 2);
      const middle = pixels[place].add(pixels[next]).divideBy(2);
      if (mids && joined && seen(middle) && pixels[place].distanceTo(pixels[next]) >= MID_ROOM) {
        between.push({ ...grip, at: halfway(at, points[next]), mid: true });
      }
    });
  });
  return [...found.slice(0, MOST), ...between.slice(0, MOST)];
}

export function halfway(one, other) {
  return [(one[0] + other[0]) / 2, (one[1] + other[1]) / 2];
}

function dressed(old, grip, corner, focused) {
  const shape = old?.shape || chart.map.getPane("grips").appendChild(element("div", ""));
  shape.className = grip.mid ? "grip mid" : isAt(grip, corner) ? "grip here" : "grip";
  if (grip.mid) {
    ["tabindex", "role", "aria-label"].forEach((name) => shape.removeAttribute(name));
    shape.setAttribute("aria-hidden", "true");
    shape.onfocus = null;
  } else {
    shape.removeAttribute("aria-hidden");
    shape.tabIndex = 0;
    shape.setAttribute("role", "button");
    const hole = grip.path.at(-1) > 0 ? " of a hole" : "";
    shape.setAttribute("aria-label", `Corner ${grip.place + 1} of ${grip.of}${hole}`);
    shape.onfocus = () => focused(grip);
  }
  place({ shape }, grip.at);
  return { ...grip, shape };
}

function place({ shape }, [lon, lat]) {
  L.DomUtil.setPosition(shape, chart.map.latLngToLayerPoint([lat, lon]));
}

/* Show which corner keys act on. */
export function lightGrip(corner) {
  grips.forEach((grip) => grip.mid || grip.shape.classList.toggle("here", isAt(grip, corner)));
}

export function focusGrip(corner) {
  grips.find((grip) => isAt(grip, corner))?.shape.focus();
}

/* The grip a pointer means: a corner first, else the middle of a side. */
export function nearestGrip(pixel, reach) {
  const nearest = (mid, within) =>
    grips.filter((grip) => grip.mid === mid)
      .map((grip) => ({ grip, away: chart.pixel(grip.at).distanceTo(pixel) }))
      .filter((each) => each.away <= within)
      .sort((one, other) => one.away - other.away)[0]?.grip;
  return nearest(false, reach) || nearest(true, reach - 2);
}

/* Let the dragged grip follow; the middles beside it no longer lie on a side. */
export function followGrip(dragged, count, at) {
  const now = dragged.place + (dragged.mid ? 1 : 0);
  grips.forEach(function (grip) {
    if (!samePath(grip.path, dragged.path)) {
      return;
    }
    const index = grip.place + (dragged.mid && grip.place > dragged.place ? 1 : 0);
    if (grip === dragged || (!grip.mid && index === now)) {
      place(grip, at);
    } else if (grip.mid && (index === now || (index + 1) % count === now)) {
      grip.shape.className = "grip mid away";
    }
  });
}
