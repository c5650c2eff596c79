/* The letters of features and the words of all layers that are on, each where it lies on no number
   and on no other letter or word. */

const MARK_ROOM = 8; // pixels from the middle of a mark to its edge
const MORE_ROOM = 40; // pixels of ground on each side of a mark that says more
const ASIDE = [[0, 0], [0, 22], [0, -22], [26, 0], [-26, 0], [0, 40], [0, -40]];
const ASIDE_ALONE = 26; // pixels that a word without ground of its own may stand aside
const LETTER_ASIDE = 40; // pixels that a letter may, since a stem leads to where it belongs
const EDGE = 14; // pixels of ground that are seen round the site
const LETTER_HALF = 10; // half of the side of its box

/* What stands on a drawing already; paper keeps its room by the same rules. Nothing is moved out of
   the window: what of the drawing is seen when all of the site is. */
function roomKeeper(window) {
  const taken = [];
  const boxOf = (x, y, half, tall) => [x - half, y - tall, x + half, y + tall];
  const apart = (one, other) =>
    one[0] > other[2] || other[0] > one[2] || one[1] > other[3] || other[1] > one[3];
  const seen = (box) =>
    box[0] >= window[0] && box[1] >= window[1] && box[2] <= window[2] && box[3] <= window[3];
  return {
    take: (...where) => taken.push(boxOf(...where)),
    /* The first place beside (x, y) and in reach that is free, as steps from there; null if none. */
    find: function (x, y, half, tall, reach) {
      const found = ASIDE.find(([right, down]) => {
        const box = boxOf(x + right, y + down, half, tall);
        const near = Math.hypot(right, down) <= reach && (!(right || down) || seen(box));
        return near && taken.every((each) => apart(each, box));
      });
      if (!found) {
        return null;
      }
      taken.push(boxOf(x + found[0], y + found[1], half, tall));
      return found;
    },
  };
}

function startMarks(map, data, whole) {
  const shown = new Set();
  function fit() {
    const metre = pixelsOfAMetre(map);
    const keeper = roomKeeper(windowOf(map, whole));
    keepNumbers(map, data, metre, keeper);
    placeLetters(map, data, keeper);
    shown.forEach(({ group, marks }) =>
      marks.forEach((mark) => fitMark(map, group, mark, metre, keeper)),
    );
  }
  map.on("zoomend", fit);
  inUnits(fit);
  fit();
  return {
    show: function (each) {
      shown.add(each);
      fit();
    },
    hide: function (each) {
      shown.delete(each);
      fit();
    },
  };
}

function windowOf(map, whole) {
  if (!whole.isValid()) {
    return [-Infinity, -Infinity, Infinity, Infinity];
  }
  const [west, east] = [whole.getNorthWest(), whole.getSouthEast()].map((at) => map.latLngToLayerPoint(at));
  return [west.x - EDGE, west.y - EDGE, east.x + EDGE, east.y + EDGE];
}

/* Numbers of zones come first, then the letters of features. */
function keepNumbers(map, data, metre, keeper) {
  const all = data.zones.length <= NUMBERED_ALL;
  data.zones.forEach(function (zone) {
    const half = 5 + 5 * String(zone.number).length;
    if (all || zone.radius * metre >= half) {
      const { x, y } = map.latLngToLayerPoint(zone.at);
      keeper.take(x, y, half, 10);
    }
  });
}

/* A letter always stands: aside where there is room, else on its place. */
function letterAside(keeper, x, y, half, reach) {
  const found = keeper.find(x, y, half, half, reach);
  if (!found) {
    keeper.take(x, y, half, half);
  }
  return found || [0, 0];
}

function placeLetters(map, data, keeper) {
  data.features.forEach((feature) =>
    (feature.letters || []).forEach(function (letter, place) {
      const { x, y } = map.latLngToLayerPoint(feature.points[place]);
      const [right, down] = letterAside(keeper, x, y, LETTER_HALF, LETTER_ASIDE);
      letter.style.left = `${right}px`;
      letter.style.top = `${down}px`;
      stem(letter, right, down);
    }),
  );
}

/* The line from a letter that stands aside, always straight along or up, to its place. */
function stem(letter, right, down) {
  const line = letter.querySelector(".stem");
  line.hidden = !right && !down;
  const long = Math.max(0, Math.abs(right || down) - LETTER_HALF);
  Object.assign(line.style, {
    width: right ? `${long}px` : "2px",
    height: right ? "2px" : `${long}px`,
    left: right > 0 ? `${-long - 1.5}px` : right < 0 ? "100%" : "calc(50% - 1px)",
    top: right ? "calc(50% - 1px)" : down > 0 ? `${-long - 1.5}px` : "100%",
  });
}

function fitMark(map, group, mark, metre, keeper) {
  const word = mark.shown.options.icon.options.html;
  const plenty = mark.more && mark.room * metre >= MORE_ROOM;
  word.textContent = plenty ? `${mark.text}: ${reading(mark.more)}` : mark.text;
  const fits = mark.room === null || mark.room * metre >= MARK_ROOM;
  const reach = mark.room === null ? ASIDE_ALONE : mark.room * metre;
  const { x, y } = map.latLngToLayerPoint(mark.at);
  const half = Math.max(9.5, 5 + 3.6 * word.textContent.length);
  const aside = fits && keeper.find(x, y, half, 9, reach);
  if (aside) {
    word.style.left = `${aside[0]}px`;
    word.style.top = `${aside[1]}px`;
    group.addLayer(mark.shown);
  } else {
    group.removeLayer(mark.shown);
  }
}

function markOf(each, colour) {
  const text = element("span", "layer-mark", each.text);
  text.style.borderColor = colour;
  const icon = L.divIcon({ html: text, className: "badge-mark", iconSize: null });
  return L.marker(each.at, { icon: icon, interactive: false, keyboard: false });
}
