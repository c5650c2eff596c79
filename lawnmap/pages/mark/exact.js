/* The bar under the map while something is drawn: how far it is, and sides typed exactly. */

import { ask } from "./api.js";
import { addCorner, closes, drawing, dropCorner, finish, putRing } from "./draw.js";
import { button, element, number, numberOf } from "./dom.js";
import { lawnText, lengthText } from "./measures.js";
import { cross } from "./cross.js";
import { lost } from "./saving.js";
import { on, say, setMode } from "./state.js";

let form, told, side, fields, exact;

export function startExact() {
  form = document.getElementById("sketch");
  told = element("p", "told");
  side = element("span", "side");
  fields = {
    length: number("Length", "m", "length"),
    bearing: number("Direction", "°", "bearing"),
    turn: number("or right by", "°", "turn"),
    width: number("Width, left", "m", "width"),
  };
  exact = element("details", "exact", element("summary", "", "Exact side"), rows());
  const buttons = element("div", "row",
    button("main", "Finish", finish),
    button("", "Take back", dropCorner),
    button("", "Stop", () => setMode("choose")),
  );
  form.replaceChildren(element("div", "about", told, side), exact, buttons);
  form.addEventListener("submit", (event) => { event.preventDefault(); putSide(); });
  onlyOne("bearing", "turn");
  onlyOne("turn", "bearing");
  on("sketch", show);
  on("side", ({ length_m: length, bearing_deg: bearing }) =>
    (side.textContent = `Side ${lengthText(length)}, ${bearing.toFixed(1)}°`));
}

function rows() {
  const add = element("button", "main", "Put side");
  return element("div", "row", fields.length, fields.bearing, fields.turn, fields.width, add);
}

const input = (name) => fields[name].querySelector("input");

function onlyOne(name, other) {
  input(name).addEventListener("input", () => input(name).value && (input(other).value = ""));
}

function show() {
  const sketch = drawing();
  form.hidden = !sketch;
  document.body.classList.toggle("sketching", Boolean(sketch));
  if (!sketch) {
    return;
  }
  const count = sketch.points.length;
  const rectangle = sketch.purpose === "rectangle";
  fields.width.hidden = !rectangle;
  fields.turn.hidden = rectangle;
  exact.querySelector("button").textContent = rectangle ? "Make rectangle" : "Put side";
  exact.open ||= rectangle;
  const area = closes() && count > 2 && sketch.area ? `, ${lawnText(sketch.area)}` : "";
  told.textContent = count
    ? `${sketch.says}: ${count} corner${count > 1 ? "s" : ""}${area}`
    : `${sketch.says}: ${rectangle ? "put its first corner, then type its sides" : "put the first corner"}`;
  side.textContent = count ? side.textContent : "";
}

/* Open the exact fields and go there. */
export function focusExact() {
  if (drawing()) {
    exact.open = true;
    input("length").focus();
  }
}

async function putSide() {
  const sketch = drawing();
  const length = numberOf(input("length"));
  if (!sketch || length === null || length <= 0) {
    say("Type a length in metres first.", "bad");
    return;
  }
  if (!sketch.points.length) {
    addCorner(cross());
  }
  try {
    await (sketch.purpose === "rectangle" ? putRectangle(sketch, length) : putPoint(sketch, length));
  } catch (error) {
    lost(error) || say(`${error.error.problem}.`, "bad");
  }
}

async function putPoint(sketch, length) {
  const bearing = await wanted(sketch);
  if (bearing === null) {
    say("Type a direction, or a turn from the last side.", "bad");
    return;
  }
  const from = sketch.points.at(-1);
  addCorner(await ask("/api/point", { from, bearing_deg: bearing, length_m: length }));
  input("length").value = "";
  input("length").focus();
}

/* The direction typed; or the turn, added to the direction of the last side. */
async function wanted(sketch) {
  const bearing = numberOf(input("bearing"));
  const turn = numberOf(input("turn"));
  if (bearing !== null || turn === null || sketch.points.length < 2) {
    return bearing;
  }
  const [from, to] = sketch.points.slice(-2);
  const last = await ask("/api/side", { from, to });
  return (((last.bearing_deg + turn) % 360) + 360) % 360;
}

async function putRectangle(sketch, length) {
  const width = numberOf(input("width"));
  const bearing = numberOf(input("bearing"));
  if (width === null || width === 0 || bearing === null) {
    say("Type length, direction and width.", "bad");
    return;
  }
  const asked = { from: sketch.points[0], bearing_deg: bearing, length_m: length, width_m: width };
  const ring = await ask("/api/rectangle", asked);
  const [first, last] = [ring[0], ring.at(-1)];
  await putRing(first[0] === last[0] && first[1] === last[1] ? ring.slice(0, -1) : ring);
}
