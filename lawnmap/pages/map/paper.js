/* What paper needs: a first sheet that the map fills, and the work that the screen has in panels. */

const SHORT = 4; // fewer steps than that stay together on one sheet

function startPaper(map, data, drawn) {
  const section = document.querySelector("section.paper");
  let sheet = null;
  // Pages are counted after this event, so what is printed must stand now.
  window.addEventListener("beforeprint", function () {
    if (!sheet) {
      sheet = firstSheet(map, data, drawn);
      document.querySelector("main").prepend(sheet);
    }
    if (!section.querySelector("table.steps, .many")) {
      section.append(...workOf(data));
    }
  });
  window.addEventListener("afterprint", function () {
    if (sheet) {
      sheet.remove();
      sheet = null;
    }
  });
}

/* Issue, title and date, the map, and what its colours and lines mean. */
function firstSheet(map, data, drawn) {
  const head = document.querySelector("header.head").cloneNode(true);
  const legend = document.querySelector(".stage .legend").cloneNode(true);
  return element("section", "first-sheet", head, printedMap(map, data, drawn), legend);
}

/* Zone by zone; a long page would be a book. */
function workOf(data) {
  if (data.packed) {
    return [element("p", "many note", data.words.too_many)];
  }
  return data.zones.map((zone) => workTable(data, zone));
}

/* A table a zone, whose heading comes again where it runs on to the next sheet. */
function workTable(data, zone) {
  const number = element("span", "pill", String(zone.number));
  const title = element("th", "", number, " ", said(zone.name));
  title.colSpan = 2;
  const body = element("tbody", "");
  zone.steps.forEach(function (step) {
    const details = step.details.map(([label, text]) =>
      element("span", "detail", `${data.texts[label]} `, said(data.texts[text])),
    );
    const name = element("td", "title", ...stepTitle(data, step));
    body.append(element("tr", "", name, element("td", "", ...details, stepFlag(data, step))));
  });
  const rest = zone.left.map((step) => leftText(data, step)).join("; ");
  if (rest || !zone.steps.length) {
    const cell = element("td", "", said(rest || data.words.nothing));
    cell.colSpan = 2;
    body.append(element("tr", "out", cell));
  }
  const head = element("thead", "", element("tr", "of", title));
  const table = element("table", "steps", head, body);
  return element("div", zone.steps.length < SHORT ? "of-zone short" : "of-zone", table);
}
