/* The only way words reach the page: as text of an element, never as markup. */

function element(name, className, ...children) {
  const made = document.createElement(name);
  if (className) {
    made.className = className;
  }
  made.append(...children);
  return made;
}

/* A person's words, set apart so that their reading direction stays their own. */
function said(text) {
  return element("bdi", "", text);
}

function button(className, label, action) {
  const made = element("button", className, label);
  made.type = "button";
  made.addEventListener("click", action);
  return made;
}

/* Let a drawn shape be reached and opened by keyboard. */
function makeButton(shape, label, action) {
  shape.setAttribute("tabindex", "0");
  shape.setAttribute("role", "button");
  shape.setAttribute("aria-label", label);
  shape.addEventListener("keydown", function (event) {
    if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      action();
    }
  });
}

function swatch(fill) {
  const space = "http://www.w3.org/2000/svg";
  const drawing = document.createElementNS(space, "svg");
  const box = document.createElementNS(space, "rect");
  const given = { x: 1, y: 1, width: 26, height: 16, rx: 2, fill: fill, stroke: "#24302a" };
  Object.entries(given).forEach(([name, value]) => box.setAttribute(name, value));
  drawing.setAttribute("class", "swatch");
  drawing.setAttribute("viewBox", "0 0 28 18");
  drawing.setAttribute("aria-hidden", "true");
  drawing.append(box);
  return drawing;
}
