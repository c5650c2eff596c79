/* The slider over the days of work: what is done on each, and which ground is closed. */

/* Place 0 is all days. Every word comes with the data; moved is told when a person moved it. */
function startDays(data, showDay, moved) {
  const { words, work } = data;
  const { days } = work;
  const slider = element("input", "");
  slider.type = "range";
  slider.id = "day";
  slider.min = "0";
  slider.max = String(days.length);
  slider.step = "1";
  const title = element("output", "day-title");
  title.htmlFor = "day";
  const label = element("label", "", `${words.day}:`);
  label.htmlFor = "day";
  const tells = element("div", "day-said");
  tells.setAttribute("role", "status");
  let place = 0;

  function show(to) {
    place = Math.min(Math.max(to, 0), days.length);
    const day = place ? days[place - 1] : null;
    slider.value = String(place);
    title.textContent = day ? day.title : words.all_days;
    slider.setAttribute("aria-valuetext", title.textContent);
    back.disabled = place === 0;
    onward.disabled = place === days.length;
    const lines = day ? [day.said, day.closed] : [];
    tells.replaceChildren(...lines.map((line) => element("p", "", said(line))));
    showDay(day);
  }

  function move(to) {
    show(to);
    moved();
  }

  const back = button("step-day", words.day_before, () => move(place - 1));
  const onward = button("step-day", words.day_after, () => move(place + 1));
  slider.addEventListener("input", () => move(Number(slider.value)));
  const head = element("p", "day-head", label, " ", title);
  return {
    controls: element("div", "days", head, element("div", "day-row", back, slider, onward), tells),
    at: () => (place ? days[place - 1].at : ""),
    show: (at) => show(at ? days.findIndex((day) => day.at === at) + 1 : place),
  };
}

/* Day, work and keeping off of a zone: shared by zones alike, or on a long page among its details. */
function dayRows(data, zone) {
  const place = data.work.of_zone ? data.work.of_zone[zone.number - 1] : null;
  return zone.days || (place === null ? [] : data.work.rows[place]);
}

/* The zones that stand out on a day: those worked on, and those still closed. */
function dayPlaces(data, day) {
  const places = new Set(day.zones.flat());
  data.zones.forEach((zone) => (zone.classes.day = -1));
  day.zones.forEach((zones, kind) => zones.forEach((zone) => (data.zones[zone].classes.day = kind)));
  return places;
}

/* A day as colours: only those that are on the map that day are explained. */
function dayTheme(work, day) {
  const kinds = day.zones.map((zones, kind) => (zones.length ? kind : -1));
  return {
    name: "day",
    title: day.title,
    classes: work.classes,
    used: new Set(kinds.filter((kind) => kind >= 0)),
    unknown: work.idle,
  };
}
