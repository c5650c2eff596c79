/* A long page opened: zones in flat lists of whole numbers, and parcels that are opened when wanted. */

/* Returns the data as a short page has them: zones whose details follow, by detailsOf. */
function unpacked(data) {
  const { packed } = data;
  if (!packed) {
    return data;
  }
  (data.work.days || []).forEach((day) => (day.zones = day.zones.map(placesFrom)));
  const outlines = unpackedShapes(packed, packed.shapes);
  const middles = unpackedShapes(packed, { counts: [packed.at.length / 2], steps: packed.at });
  const starts = new Uint32Array(packed.shapes.counts.length + 1);
  outlines.rings.forEach(function (rings, place) {
    starts[place + 1] = starts[place] + rings.reduce((sum, each) => sum + each, 0);
  });
  data.outlines = outlines;
  data.zones = packed.shapes.counts.map(function (counts, place) {
    const zone = {
      number: place + 1,
      at: [middles.norths[place], middles.easts[place]],
      radius: packed.radius[place] / 100,
      classes: {},
      get areas() {
        return nested(outlines, counts, starts[place]);
      },
    };
    Object.entries(packed.columns).forEach(([name, values]) => (zone[name] = values[place]));
    zone.work = data.texts[zone.verdict[0]] || ""; // details come with a verdict of their parcel
    Object.entries(packed.classes).forEach(
      ([name, letters]) => (zone.classes[name] = letters.charCodeAt(place) - 98), // "a" is none
    );
    return zone;
  });
  return data;
}

/* Places from the steps between them. */
function placesFrom(steps) {
  let place = 0;
  return steps.map((step) => (place += step));
}

/* Corners of rings, one after the other, from the steps between them. */
function unpackedShapes(packed, { counts, steps }) {
  const many = steps.length / 2;
  const norths = new Float64Array(many);
  const easts = new Float64Array(many);
  let [north, east] = packed.origin;
  for (let at = 0; at < many; at += 1) {
    north += steps[2 * at];
    east += steps[2 * at + 1];
    norths[at] = north / packed.whole;
    easts[at] = east / packed.whole;
  }
  const rings = counts.map((each) => (typeof each === "number" ? [each] : each.flat()));
  return { norths: norths, easts: easts, rings: rings };
}

/* Areas of rings of corners, as Leaflet takes them. */
function nested(outlines, counts, first) {
  let at = first;
  function ring(many) {
    const corners = Array.from({ length: many }, (_, step) => [
      outlines.norths[at + step],
      outlines.easts[at + step],
    ]);
    at += many;
    return corners;
  }
  return typeof counts === "number" ? [[ring(counts)]] : counts.map((rings) => rings.map(ring));
}

/* Give a zone its details, and the texts they name by place; at once where it has them. */
async function detailsOf(data, zone) {
  if (zone.steps) {
    return;
  }
  const first = Math.floor((zone.number - 1) / data.packed.zones_a_parcel);
  const told = await openParcel(`zones-${first}`);
  const details = told.zones[(zone.number - 1) % data.packed.zones_a_parcel];
  const texts = { texts: told.texts, whys: told.whys, sources: told.sources };
  Object.assign(zone, details, { told: { ...data, ...texts } });
}

const parcels = new Map();

/* What was laid into the page deflated (RFC 1950); opened once. */
function openParcel(name) {
  if (!parcels.has(name)) {
    parcels.set(name, inflated(document.querySelector(`script[data-parcel="${name}"]`).textContent));
  }
  return parcels.get(name);
}

async function inflated(text) {
  const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
  return JSON.parse(await new Response(stream).text());
}
