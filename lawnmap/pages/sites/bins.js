/* Marks that lie on each other are drawn as one, with the sum of what they stand for. */

const FEW = 200; // marks up to which only those are put together that would hide each other
const CLOSE = 2 ** 18; // growth from which a site never hides behind another
const SQUARE = { few: 16, many: 48 }; // sides of the squares that are put together [px]
const SITE = { least: 4.5, most: 15 }; // radius of a mark [px]: its area is as the ground
const SUM = { least: 13, most: 23 };

/* The marks of a map as flat lists, on the plane of a map without growth. */
function startMarks(data, map) {
  const { at, ground, states, places } = data.marks;
  const flat = groundToPlane(map);
  const plane = at.map(([north, east]) => flat(north, east));
  const largest = ground.reduce((most, each) => Math.max(most, each), 1);
  return { at: at, ground: ground, states: states, places: places, plane: plane, largest: largest };
}

/* What is drawn at this growth: a bin a square that has any of the marks wanted, largest first. */
function binned(marks, wanted, grow) {
  const side = wanted.length <= FEW ? SQUARE.few : SQUARE.many;
  const found = new Map();
  wanted.forEach(function (mark) {
    const x = marks.plane[mark][0] * grow;
    const y = marks.plane[mark][1] * grow;
    const key = `${Math.floor(x / side)} ${Math.floor(y / side)}`;
    const bin = found.get(key);
    if (bin) {
      bin.x += x;
      bin.y += y;
      bin.ground += marks.ground[mark];
      bin.states = bin.states.map((count, place) => count + marks.states[mark][place]);
      bin.marks.push(mark);
    } else {
      const own = { x: x, y: y, ground: marks.ground[mark], states: marks.states[mark], marks: [mark] };
      found.set(key, own);
    }
  });
  const bins = [...found.values()].flatMap((bin) => (grow >= CLOSE ? fanned(marks, bin) : [bin]));
  return bins.map((bin) => finished(marks, bin)).sort((one, other) => other.ground - one.ground);
}

/* Sites in the same place, that no growth of the map parts, stand round it. */
function fanned(marks, bin) {
  const many = bin.marks.length;
  if (many === 1 || bin.marks.some((mark) => marks.places[mark] < 0)) {
    return [bin];
  }
  const away = Math.max(SITE.most * 1.5, (many * SITE.most) / 3);
  return bin.marks.map(function (mark, place) {
    const turn = (2 * Math.PI * place) / many;
    const x = bin.x / many + away * Math.sin(turn);
    const y = bin.y / many - away * Math.cos(turn);
    return { x: x, y: y, ground: marks.ground[mark], states: marks.states[mark], marks: [mark] };
  });
}

function finished(marks, bin) {
  const many = bin.marks.length;
  const count = bin.states.reduce((sum, each) => sum + each, 0);
  const single = many === 1 && marks.places[bin.marks[0]] >= 0;
  const { least, most } = single ? SITE : SUM;
  const sized = SITE.most * Math.sqrt(bin.ground / marks.largest);
  return {
    ...bin,
    x: bin.x / many,
    y: bin.y / many,
    count: count,
    place: single ? marks.places[bin.marks[0]] : -1,
    radius: Math.min(Math.max(sized, least), most),
  };
}
