/* The list of sites: searched, sorted, and made fifty rows at a time. */

const AT_ONCE = 50;
const ALL_ON_PAPER = 1000; // sites up to which all are printed
const OF_MORE = 100; // of more these first, with a note
const MOST_FIRST = ["zones", "ground_area_m2", "hours"];

function startList(data, open) {
  const { sites, words } = data;
  const table = document.querySelector("table.sites");
  const body = table.tBodies[0];
  const columns = Object.keys(sites.cells).map(function (name) {
    return { name: name, label: table.querySelector(`thead .${name}`).textContent };
  });
  const field = document.querySelector(".search input");
  const sort = document.querySelector(".search select");
  const count = document.querySelector(".search .count");
  const more = button("more", words.more_rows, () => add(AT_ONCE));
  table.after(more);
  const rows = new Map();
  let texts = null; // what each site is found by, in the units that are shown
  let among = null; // a set of places; null is all
  let found = [];
  let shown = 0;

  function rowOf(place) {
    if (!rows.has(place)) {
      rows.set(place, siteRow(data, place, columns, open));
    }
    return rows.get(place);
  }

  function add(many) {
    const next = found.slice(shown, shown + many);
    shown += next.length;
    body.append(...next.map(rowOf));
    more.hidden = shown >= found.length;
  }

  function begin() {
    shown = 0;
    body.replaceChildren();
    add(AT_ONCE);
  }

  function find() {
    texts = texts || sites.title.map((_, place) => textOf(data, place));
    const wanted = field.value.trim().toLowerCase();
    found = sites.title
      .map((_, place) => place)
      .filter((place) => (!among || among.has(place)) && texts[place].includes(wanted));
    found.sort(orderOf(sites, sort.value));
    begin();
    const all = sites.title.length;
    count.textContent = found.length < all ? `${found.length} ${words.of_all} ${all}` : "";
  }

  field.addEventListener("input", find);
  sort.addEventListener("change", find);
  field.addEventListener("keydown", (event) => event.key === "Enter" && found.length && open(found[0]));
  // On paper nobody sees what was searched for: there all sites stand.
  window.addEventListener("beforeprint", function () {
    found = sites.title.map((_, place) => place).sort(orderOf(sites, sort.value));
    shown = 0;
    body.replaceChildren();
    add(found.length <= ALL_ON_PAPER ? found.length : OF_MORE);
  });
  window.addEventListener("afterprint", find);
  inUnits(function () {
    texts = null;
    find();
  });
  let current = null;
  return {
    choose: function (places) {
      among = places;
      find();
    },
    mark: function (place) {
      current?.removeAttribute("aria-current");
      current = place === null ? null : rowOf(place);
      current?.setAttribute("aria-current", "true");
    },
  };
}

function textOf({ sites, states }, place) {
  const cells = Object.values(sites.cells).map((texts) => reading(texts[place]));
  const parts = [sites.title[place], sites.id[place], states[sites.state[place]].label, ...cells];
  return parts.join(" ").toLowerCase();
}

/* How two places of the list follow each other; what is empty comes last, and the name decides. */
function orderOf(sites, by) {
  const byName = (one, other) => sites.title[one].localeCompare(sites.title[other]) || one - other;
  if (by === "site") {
    return byName;
  }
  const cells = by === "day_first" ? sites.days : sites.numbers[by] || sites.cells[by];
  const way = MOST_FIRST.includes(by) ? -1 : 1;
  const empty = (cell) => cell === null || cell === "";
  return function (one, other) {
    const [a, b] = [cells[one], cells[other]];
    if (empty(a) || empty(b)) {
      return empty(a) - empty(b) || byName(one, other);
    }
    const order = typeof a === "number" ? a - b : a.localeCompare(b);
    return way * order || byName(one, other);
  };
}

function siteRow(data, place, columns, open) {
  const { sites, states } = data;
  const title = sites.title[place];
  const opens = button("", "", () => open(place));
  opens.append(said(title));
  const state = states[sites.state[place]];
  const known = sites.id[place] === title ? "" : ` · ${sites.id[place]}`;
  const name = element(
    "td", "name", stateMark(state), element("span", "called", opens),
    element("small", "", said(`${state.label}${known}`)),
  );
  const cells = columns.map(function ({ name: column, label }) {
    const text = sites.cells[column][place];
    const cell = element("td", column, ...(text ? [element("bdi", "", text)] : []));
    cell.dataset.label = label;
    return cell;
  });
  return element("tr", "", name, ...cells);
}

function stateMark(state) {
  const shape = { d: state.path, fill: state.fill, stroke: "#24302a", "stroke-width": 0.22 };
  const drawing = { class: "mark", viewBox: "-1.5 -1.5 3 3", "aria-hidden": "true" };
  return svgElement("svg", drawing, svgElement("path", shape));
}
