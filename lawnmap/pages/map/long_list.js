/* The rows of a long page: made fifty at a time, as they are asked for or searched. */

const ROWS_AT_ONCE = 50; // what is seen beside the map, three times over

/* As standingRows gives them: narrow shows the rows that are searched for, and returns their zones. */
function longRows(data, open) {
  const table = document.querySelector("table.zones");
  const heads = [...table.querySelectorAll("thead th")];
  const columns = heads.map((head) => ({ name: head.className, label: head.textContent }));
  const more = button("more", data.words.more_zones, add);
  table.after(more);
  const rows = new Map();
  let texts = null; // what each zone is found by, in the units that are shown
  inUnits(() => (texts = null));
  let found = data.zones;
  let shown = 0;

  function rowOf(zone) {
    if (!rows.has(zone)) {
      rows.set(zone, longRow(data, zone, columns, open));
    }
    return rows.get(zone);
  }

  function add() {
    const next = found.slice(shown, shown + ROWS_AT_ONCE);
    shown += next.length;
    table.tBodies[0].append(...next.map(rowOf));
    more.hidden = shown >= found.length;
  }

  function begin() {
    shown = 0;
    table.tBodies[0].replaceChildren();
    add();
  }

  table.classList.add("made");
  begin();
  return {
    rowOf: rowOf,
    narrow: function (wanted, places) {
      if (wanted && !texts) {
        texts = data.zones.map((zone) => longText(data, zone));
      }
      found = data.zones.filter(
        (_, place) => (!places || places.has(place)) && (!wanted || texts[place].includes(wanted)),
      );
      begin();
      return found;
    },
  };
}

/* What the row of a zone tells and what it is searched by; its details stay in their parcel. */
function longText(data, zone) {
  const classes = data.themes.map(
    (theme) => theme.classes[zone.classes[theme.name]]?.label || theme.unknown,
  );
  const parts = [zone.number, zone.name, zone.subtitle, zone.id, zone.work, ...classes.map(reading)];
  return parts.join(" ").toLowerCase();
}

/* A row as the page has it for few zones; what stands in a parcel comes a moment later. */
function longRow(data, zone, columns, open) {
  const row = element("tr", "");
  row.dataset.zone = String(zone.number - 1);
  const opens = button("", "", () => open({ zone: zone }));
  opens.append(said(zone.name));
  const content = {
    n: [element("span", "pill", String(zone.number))],
    name: [
      element("span", "called", opens),
      zone.subtitle ? element("small", "", said(zone.subtitle)) : "",
    ],
    work: [said(zone.work)],
  };
  const cells = columns.map(function ({ name, label }) {
    const cell = element("td", name, ...(content[name] || []));
    if (!content[name] && name !== "area") {
      cell.dataset.label = label;
    }
    return cell;
  });
  row.append(...cells);
  detailsOf(data, zone).then(function () {
    columns.forEach(function ({ name }, place) {
      const told = content[name] ? null : zone.told.texts[zone.cells[name]];
      if (told) {
        cells[place].append(element("bdi", "", told));
      }
    });
  }, () => {}); // the panel tells that the browser cannot open it
  return row;
}
