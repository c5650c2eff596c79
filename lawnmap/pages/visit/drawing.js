/* A sketch drawn to scale, with its corners, side lengths and a scale bar. */

const WIDE = 340;
const HIGH = 260;
const ROOM = 34; // for letters and lengths around the outline

/* ring [m]; `example` draws it pale and without lengths, only to show which corner is which. */
function drawnOutline(ring, { example = false, diagonal = false } = {}) {
  const xs = ring.map(([x]) => x);
  const ys = ring.map(([, y]) => y);
  const [west, north] = [Math.min(...xs), Math.max(...ys)];
  const [wide, high] = [Math.max(...xs) - west || 1, north - Math.min(...ys) || 1];
  const scale = Math.min((WIDE - 2 * ROOM) / wide, (HIGH - 2 * ROOM) / high);
  const left = (WIDE - wide * scale) / 2;
  const place = ([x, y]) => [left + (x - west) * scale, ROOM + (north - y) * scale];
  const foot = high * scale + 2 * ROOM + 24;
  const drawn = svgElement("svg", { class: "drawn", viewBox: `0 0 ${WIDE} ${foot}`, role: "img" });
  drawn.append(svgElement("title", {}, example ? say.example : say.sketch_drawn));
  const points = ring.map((corner) => place(corner).map((each) => each.toFixed(1)).join(" "));
  drawn.append(
    svgElement("polygon", {
      points: points.join(" "),
      fill: example ? "#f4f3ee" : "#dfead2",
      stroke: "#1f2a24",
      "stroke-width": example ? 1.5 : 2.5,
      "stroke-dasharray": example ? "5 5" : "none",
      "stroke-linejoin": "round",
    }),
  );
  if (diagonal) {
    const [[x1, y1], [x2, y2]] = [place(ring[0]), place(ring[2])];
    drawn.append(
      svgElement("line", { x1, y1, x2, y2, stroke: "#1f2a24", "stroke-width": 1.5, "stroke-dasharray": "3 4" }),
    );
  }
  drawn.append(...labels(ring, place, example));
  if (!example) {
    drawn.append(...scaleBar(scale, foot));
  }
  return drawn;
}

function labels(ring, place, example) {
  const middle = [0, 1].map((axis) => mean(ring.map((corner) => place(corner)[axis])));
  const text = (at, said, size, push) => {
    const [dx, dy] = [at[0] - middle[0], at[1] - middle[1]];
    const far = Math.hypot(dx, dy) || 1;
    return svgElement(
      "text",
      {
        x: (at[0] + (dx / far) * push).toFixed(1),
        y: (at[1] + (dy / far) * push + size / 3).toFixed(1),
        "text-anchor": "middle",
        "font-size": size,
        "font-weight": size > 14 ? "bold" : "normal",
        fill: "#1f2a24",
      },
      said,
    );
  };
  const corners = ring.map((corner, at) => text(place(corner), CORNERS[at] ?? "", 16, 15));
  if (example || ring.length > 8) {
    return corners;
  }
  const sides = ring.map((from, at) => {
    const to = ring[(at + 1) % ring.length];
    const [one, other] = [place(from), place(to)];
    const between = [(one[0] + other[0]) / 2, (one[1] + other[1]) / 2];
    return text(between, figure(Math.hypot(to[0] - from[0], to[1] - from[1]), 1), 13, 16);
  });
  return [...corners, ...sides];
}

function mean(values) {
  return values.reduce((sum, each) => sum + each, 0) / values.length;
}

function scaleBar(scale, foot) {
  const steps = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];
  const metres = steps.filter((step) => step * scale <= WIDE / 3).pop() ?? steps[0];
  const long = metres * scale;
  const y = foot - 8;
  return [
    svgElement("path", { d: `M10 ${y - 8}v8h${long.toFixed(1)}v-8`, fill: "none", stroke: "#1f2a24", "stroke-width": 2 }),
    svgElement("text", { x: (18 + long).toFixed(1), y: y, "font-size": 14, fill: "#1f2a24" }, `${metres} m`),
  ];
}
