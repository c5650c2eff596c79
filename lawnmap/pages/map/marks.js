/* The words of all layers that are on, each where it lies on no number and on no other word. */

const MARK_ROOM = 8; // pixels from the middle of a mark to its edge
const MORE_ROOM = 40; // pixels of ground on each side of a mark that says more
const ASIDE = [[0, 0], [0, 22], [0, -22], [26, 0], [-26, 0], [0, 40], [0, -40]];
const ASIDE_ALONE = 26; // pixels that a word without ground of its own may stand aside

/* What stands on a drawing already; paper keeps its room by the same rules. */
function roomKeeper() {
  const taken = [];
  const boxOf = (x, y, half, tall) => [x - half, y - tall, x + half, y + tall];
  const apart = (one, other) =>
    one[0] > other[2] || other[0] > one[2] || one[1] > other[3] || other[1] > one[3];
  return {
    take: (...where) => taken.push(boxOf(...where)),
    /* The first place beside (x, y) and in reach that is free, as steps from there; null if none. */
    find: function (x, y, half, tall, reach) {
      const found = ASIDE.find(([right, down]) => {
        const box = boxOf(x + right, y + down, half, tall);
        return Math.hypot(right, down) <= reach && taken.every((each) => apart(each, box));
      });
      if (!found) {
        return null;
      }
      taken.push(boxOf(x + found[0], y + found[1], half, tall));
      return found;
    },
  };
}

function startMarks(map, data) {
  const shown = new Set();
  function fit() {
    const metre = pixelsOfAMetre(map);
    const keeper = roomKeeper();
    keepNumbers(map, data, metre, keeper);
    shown.forEach(({ group, marks }) =>
      marks.forEach((mark) => fitMark(map, group, mark, metre, keeper)),
    );
  }
  map.on("zoomend", fit);
  inUnits(fit);
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

/* Numbers of zones and letters of features come first. */
function keepNumbers(map, data, metre, keeper) {
  const all = data.zones.length <= NUMBERED_ALL;
  data.zones.forEach(function (zone) {
    const half = 5 + 5 * String(zone.number).length;
    if (all || zone.radius * metre >= half) {
      const { x, y } = map.latLngToLayerPoint(zone.at);
      keeper.take(x, y, half, 10);
    }
  });
  data.features.forEach((feature) =>
    feature.points.forEach(function (at) {
      const { x, y } = map.latLngToLayerPoint(at);
      keeper.take(x, y, 9.5, 9.5);
    }),
  );
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
