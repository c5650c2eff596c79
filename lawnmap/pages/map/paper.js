/* What paper needs: the map fitted to it, and a table of the work that the screen has in panels. */

function startPaper(map, data, whole) {
  const section = document.querySelector("section.paper");
  let kept = null;
  // Pages are counted after this event and before the next, so the table must come now.
  window.addEventListener("beforeprint", function () {
    if (!section.querySelector("table")) {
      section.append(workTable(data));
    }
  });
  // Only now has the paper its size, to which the map is fitted.
  window.matchMedia("print").addEventListener("change", function (query) {
    if (query.matches) {
      kept = { middle: map.getCenter(), zoom: map.getZoom(), snap: map.options.zoomSnap };
      map.options.zoomSnap = 0;
      map.invalidateSize({ animate: false });
      map.fitBounds(whole, { animate: false, padding: [10, 10] });
    } else if (kept) {
      map.options.zoomSnap = kept.snap;
      map.invalidateSize({ animate: false });
      map.setView(kept.middle, kept.zoom, { animate: false });
      kept = null;
    }
  });
}

function workTable(data) {
  return element("table", "steps", ...data.zones.map((zone) => workOfZone(data, zone)));
}

function workOfZone(data, zone) {
  const number = element("span", "pill", String(zone.number));
  const title = element("th", "", number, " ", said(zone.name));
  title.colSpan = 2;
  const body = element("tbody", "", element("tr", "of", title));
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
  return body;
}
