/* The list of zones beside the map, its search, and the row of the zone that is open. */

const BESIDE = "(min-width: 1000px)"; // where list and map are seen together

/* Returns mark, for the zone that is open or null, and ofDay, for the places of a day or null. */
function startList(data, open) {
  const rows = data.packed ? longRows(data, open) : standingRows(data, open);
  const search = startSearch(data, rows.narrow, open);
  let current = null;
  return {
    ofDay: search.ofDay,
    mark: function (zone) {
      markRow(current, false);
      current = zone && rows.rowOf(zone);
      markRow(current, true);
    },
  };
}

/* The rows that stand in the page already; narrow shows some of them, and returns their zones. */
function standingRows(data, open) {
  const rows = [...document.querySelectorAll("table.zones tr[data-zone]")];
  const zones = rows.map((row) => data.zones[Number(row.dataset.zone)]);
  rows.forEach(function (row, place) {
    const called = row.querySelector(".called");
    const opens = button("", "", () => open({ zone: zones[place] }));
    opens.append(...called.childNodes);
    called.append(opens);
  });
  let texts = null; // what each row is found by, in the units that are shown
  inUnits(() => (texts = null));
  return {
    rowOf: (zone) => rows[zones.indexOf(zone)],
    narrow: function (wanted, places) {
      if (wanted && !texts) {
        texts = rows.map((row, place) => `${shownText(row)} ${searched(data, zones[place])}`.toLowerCase());
      }
      return zones.filter(function (zone, place) {
        const found = (!places || places.has(zone.number - 1)) && (!wanted || texts[place].includes(wanted));
        rows[place].hidden = !found;
        return found;
      });
    },
  };
}

/* A zone is found by its id, by what is to be done there and when, too. */
function searched(data, zone) {
  const steps = (zone.steps || []).flatMap((step) => [step.title, ...step.details.map(([, text]) => text)]);
  const days = dayRows(data, zone).flat();
  const texts = [zone.verdict[0], ...steps].map((each) => data.texts[each] || "");
  return [zone.id, ...days, ...texts.map(reading)].join(" ");
}

/* The field, and the box for a day; narrow(wanted, places) shows rows and returns their zones. */
function startSearch(data, narrow, open) {
  const { words } = data;
  const field = document.querySelector(".search input");
  const count = document.querySelector(".search .count");
  const box = element("input", "");
  box.type = "checkbox";
  const only = element("label", "only-day", box, " ", words.only_day);
  only.hidden = true;
  count.before(only);
  let day = null;

  function find() {
    const wanted = field.value.trim().toLowerCase();
    const places = box.checked ? day : null;
    const found = narrow(wanted, places);
    count.textContent = wanted || places ? `${found.length} ${words.found_zones}` : "";
    return found;
  }

  field.addEventListener("input", find);
  box.addEventListener("change", find);
  field.addEventListener("keydown", function (event) {
    const [first] = event.key === "Enter" ? find() : [];
    if (first) {
      open({ zone: first });
    }
  });
  return {
    ofDay: function (places) {
      day = places;
      only.hidden = !places;
      find();
    },
  };
}

function markRow(row, open) {
  if (!row) {
    return;
  }
  [row, row.querySelector("button")].forEach((each) =>
    open ? each.setAttribute("aria-current", "true") : each.removeAttribute("aria-current"),
  );
  if (open && window.matchMedia(BESIDE).matches) {
    row.scrollIntoView({ block: "nearest" });
  }
}
