/* Outlines from lengths taken on the ground, in metres: x along the first side, y to its left. */

const CORNERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ";
const LEAST_M2 = 0.05;
const SHAPES = {
  four: ["AB", "BC", "CD", "DA", "AC"],
  triangle: ["AB", "BC", "CA"],
  rectangle: ["AB", "BC"],
  corners: [],
};

/* What a draft makes: {ring}, {problem: words}, or neither while lengths are missing. */
function outlineOf(draft) {
  const one = draft.how === "paces" ? draft.pace : 1;
  if (!one) {
    return {};
  }
  const made = draft.shape === "corners" ? byCorners(draft, one) : bySides(draft, one);
  if (!made.ring) {
    return made;
  }
  if (crosses(made.ring)) {
    return { problem: say.crosses };
  }
  return areaOf(made.ring) < LEAST_M2 ? { problem: say.no_area } : made;
}

function byCorners(draft, one) {
  const whole = draft.corners.filter(([x, y]) => x !== null && y !== null);
  return whole.length < 3 ? {} : { ring: whole.map(([x, y]) => [x * one, y * one]) };
}

function bySides(draft, one) {
  const names = SHAPES[draft.shape];
  if (!names.every((name) => draft.sizes[name] > 0)) {
    return {};
  }
  const m = Object.fromEntries(names.map((name) => [name, draft.sizes[name] * one]));
  if (draft.shape === "rectangle") {
    return { ring: [[0, 0], [m.AB, 0], [m.AB, m.BC], [0, m.BC]] };
  }
  if (draft.shape === "triangle") {
    const problem = cannotClose({ AB: m.AB, BC: m.BC, CA: m.CA });
    return problem ? { problem } : { ring: [[0, 0], [m.AB, 0], third(m.AB, m.CA, m.BC)] };
  }
  const problem =
    cannotClose({ AB: m.AB, BC: m.BC, AC: m.AC }) || cannotClose({ CD: m.CD, DA: m.DA, AC: m.AC });
  return problem ? { problem } : { ring: fourSides(m) };
}

/* Two sides that together are no longer than the third do not meet. */
function cannotClose(sides) {
  const [long, one, other] = Object.entries(sides).sort((a, b) => b[1] - a[1]);
  const sum = one[1] + other[1];
  if (long[1] < sum) {
    return "";
  }
  return filled(say.cannot_close, {
    long: long[0],
    long_m: figure(long[1], 2),
    one: one[0],
    other: other[0],
    sum_m: figure(sum, 2),
  });
}

/* The corner to the left of a base along x, by its distances from both ends. */
function third(base, near, far) {
  const x = (near * near - far * far + base * base) / (2 * base);
  return [x, Math.sqrt(Math.max(near * near - x * x, 0))];
}

/* A at zero, B on x; C by the diagonal AC; D on the other side of that diagonal from B. */
function fourSides(m) {
  const c = third(m.AB, m.AC, m.BC);
  const [along, out] = third(m.AC, m.DA, m.CD);
  const [ux, uy] = [c[0] / m.AC, c[1] / m.AC];
  return [[0, 0], [m.AB, 0], c, [along * ux - out * uy, along * uy + out * ux]];
}

/* The area of a flat ring by its coordinates [m²]. */
function areaOf(ring) {
  const twice = ring.reduce((sum, [x, y], place) => {
    const [nextX, nextY] = ring[(place + 1) % ring.length];
    return sum + x * nextY - nextX * y;
  }, 0);
  return Math.abs(twice) / 2;
}

function crosses(ring) {
  const sides = ring.map((from, place) => [from, ring[(place + 1) % ring.length]]);
  return sides.some((one, first) =>
    sides.some((other, second) => {
      const apart = Math.abs(first - second);
      return second > first && apart > 1 && apart < sides.length - 1 && meet(one, other);
    }),
  );
}

function meet([a, b], [c, d]) {
  const turn = (p, q, r) => Math.sign((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]));
  return turn(a, b, c) * turn(a, b, d) <= 0 && turn(c, d, a) * turn(c, d, b) <= 0;
}

function about(ring) {
  const area = areaOf(ring);
  return filled(say.about_area, { area: figure(area, area < 10 ? 1 : 0) });
}
