/* How bins are painted: a site by the shape of its state, a sum by its number in a ring of states. */

const INK = "#24302a";
const CHOSEN = "#c2410c";
const RING = 5;
const ABOVE = [14, 30, 46, 62]; // the marks that the name of a region tells of, as there is room [px]
const NAMED = 24; // sites in the window up to which their names are written

/* Paint bins at places in the window; returns them as they lie, for who asks what is where. */
function paintBins(pen, data, bins, view, chosen) {
  const shapes = data.states.map((state) => new Path2D(state.path));
  const seen = bins
    .map((bin) => ({ ...bin, left: bin.x - view.from.x, top: bin.y - view.from.y }))
    .filter(
      ({ left, top, radius }) =>
        left > -radius && top > -radius && left < view.size.x + radius && top < view.size.y + radius,
    );
  seen.forEach((bin) => (bin.place >= 0 ? paintSite(pen, data, shapes, bin) : paintSum(pen, data, bin)));
  const around = seen.find((bin) => bin.marks.includes(chosen));
  if (around) {
    pen.lineWidth = 4;
    pen.strokeStyle = CHOSEN;
    pen.beginPath();
    pen.arc(around.left, around.top, around.radius + 5, 0, 2 * Math.PI);
    pen.stroke();
  }
  paintNames(pen, data, seen, view);
}

function paintSite(pen, data, shapes, { states, left, top, radius }) {
  const state = states.indexOf(1);
  pen.save();
  pen.translate(left, top);
  pen.scale(radius, radius);
  pen.fillStyle = data.states[state].fill;
  pen.fill(shapes[state]);
  pen.lineWidth = 1.3 / radius;
  pen.strokeStyle = INK;
  pen.stroke(shapes[state]);
  pen.restore();
}

function paintSum(pen, data, { states, count, left, top, radius }) {
  pen.beginPath();
  pen.arc(left, top, radius, 0, 2 * Math.PI);
  pen.fillStyle = "#ffffff";
  pen.fill();
  pen.lineWidth = 1.3;
  pen.strokeStyle = INK;
  pen.stroke();
  let turned = -Math.PI / 2;
  states.forEach(function (many, state) {
    const end = turned + (2 * Math.PI * many) / count;
    if (many) {
      pen.beginPath();
      pen.arc(left, top, radius - RING / 2 - 0.5, turned, end);
      pen.lineWidth = RING;
      pen.strokeStyle = data.states[state].fill;
      pen.stroke();
    }
    turned = end;
  });
  pen.fillStyle = INK;
  pen.font = `bold ${count > 999 ? 10 : 12}px sans-serif`;
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.fillText(String(count), left, top + 0.5);
}

/* Names of sites when few are seen, and of regions; each only where it hides nothing. */
function paintNames(pen, data, seen, view) {
  const singles = data.sites ? seen.filter((bin) => bin.place >= 0) : [];
  const sites = (singles.length <= NAMED ? singles : []).map((bin) => ({
    name: data.sites.title[bin.place], left: bin.left, tops: [bin.top - bin.radius - 9], font: "12px sans-serif",
  }));
  const regions = data.names.map(function ([name, [north, east]]) {
    const [x, y] = view.flat(north, east);
    const top = y * view.grow - view.from.y;
    const tops = ABOVE.map((above) => top - above);
    return { name: name, left: x * view.grow - view.from.x, tops: tops, font: "bold 14px sans-serif" };
  });
  const taken = seen.map((bin) => [bin.left, bin.radius, bin.top, bin.radius]);
  [...regions, ...sites].forEach(function ({ name, left, tops, font }) {
    pen.font = font;
    const half = pen.measureText(name).width / 2 + 2;
    const top = tops.find((each) =>
      taken.every(([x, wide, y, high]) => Math.abs(x - left) > wide + half || Math.abs(y - each) > high + 8),
    );
    if (top !== undefined && left > -half && left < view.size.x + half) {
      taken.push([left, half, top, 8]);
      pen.textAlign = "center";
      pen.textBaseline = "middle";
      pen.lineJoin = "round";
      pen.lineWidth = 4;
      pen.strokeStyle = "#ffffff";
      pen.strokeText(name, left, top);
      pen.fillStyle = INK;
      pen.fillText(name, left, top);
    }
  });
}
