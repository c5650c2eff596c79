/* The only way words reach the page: as text of an element, never as markup. */

function element(name, className, ...children) {
  const made = document.createElement(name);
  if (className) {
    made.className = className;
  }
  made.append(...children.flatMap(readings));
  return made;
}

/* A figure in metric, imperial and US units, as lawnmap/pages/readings.py puts them together. */
const SYSTEMS = ["metric", "imperial", "us"];
const FIGURE = /[\ufdd0-\ufdd2]([^\ufdd0-\ufdef]*)\ufdd3([^\ufdd0-\ufdef]*)\ufdd3([^\ufdd0-\ufdef]*)\ufdd4/g;

/* A text as it is put into an element: with each reading of a figure in an element of its own. */
function readings(text) {
  if (typeof text !== "string" || !text.includes("\ufdd4")) {
    return [text];
  }
  const made = [];
  let at = 0;
  for (const figure of text.matchAll(FIGURE)) {
    made.push(text.slice(at, figure.index));
    SYSTEMS.forEach(function (system, place) {
      const shown = document.createElement("span");
      shown.className = system;
      shown.textContent = figure[place + 1];
      made.push(shown);
    });
    at = figure.index + figure[0].length;
  }
  return [...made, text.slice(at)];
}

/* A text with the one reading that is shown now, for where no element can stand. */
function reading(text) {
  const place = Math.max(SYSTEMS.indexOf(document.body.dataset.units), 0);
  return text.replace(FIGURE, (...figure) => figure[place + 1]);
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

/* An element of a drawing; an attribute of null is left out. */
function svgElement(name, attributes, ...children) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", name);
  Object.entries(attributes).forEach(function ([key, value]) {
    if (value !== null && value !== undefined) {
      made.setAttribute(key, value);
    }
  });
  made.append(...children);
  return made;
}

function swatch(fill) {
  const given = { x: 1, y: 1, width: 26, height: 16, rx: 2, fill: fill, stroke: "#24302a" };
  const drawing = { class: "swatch", viewBox: "0 0 28 18", "aria-hidden": "true" };
  return svgElement("svg", drawing, svgElement("rect", given));
}
