/* Very many marks of a layer on a canvas: those in view, as words while there is room, else dots. */

const MARKED = 300; // marks up to which each is an element
const CROWDED = 400; // marks in view above which they are dots
const DOT = 2.5; // its radius in pixels
const MARK_FONT = "bold 11.5px sans-serif";

function paintedMarks(map, layer) {
  const plane = groundToPlane(map);
  const start = plane(...layer.marks[0].at);
  const places = layer.marks.map(function (mark) {
    const [x, y] = plane(...mark.at);
    return [x - start[0], y - start[1]];
  });
  return startCanvas(map, "layers", function (pen, view) {
    const metre = pixelsOfAMetre(map);
    const left = start[0] * view.grow - view.from.x;
    const top = start[1] * view.grow - view.from.y;
    const seen = [];
    layer.marks.forEach(function (mark, which) {
      const x = places[which][0] * view.grow + left;
      const y = places[which][1] * view.grow + top;
      const inside = x >= 0 && y >= 0 && x <= view.size.x && y <= view.size.y;
      if (inside && (mark.room === null || mark.room * metre >= MARK_ROOM)) {
        seen.push([x, y, mark.text]);
      }
    });
    (seen.length > CROWDED ? paintDots : paintWords)(pen, seen, layer.look.color);
  });
}

function paintDots(pen, seen, colour) {
  pen.fillStyle = colour;
  pen.beginPath();
  seen.forEach(function ([x, y]) {
    pen.moveTo(x + DOT, y);
    pen.arc(x, y, DOT, 0, 2 * Math.PI);
  });
  pen.fill();
}

function paintWords(pen, seen, colour) {
  pen.font = MARK_FONT;
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.lineWidth = 1.5;
  pen.strokeStyle = colour;
  seen.forEach(function ([x, y, text]) {
    const half = Math.max(8.5, pen.measureText(text).width / 2 + 4);
    pen.fillStyle = "#ffffff";
    pen.fillRect(x - half, y - 8.5, 2 * half, 17);
    pen.strokeRect(x - half, y - 8.5, 2 * half, 17);
    pen.fillStyle = INK;
    pen.fillText(text, x, y + 0.5);
  });
}
