/* The views of the map: condition, work day by day, setting out, before and after. */

const FEW_LAYERS = 6; // that are off, up to which they all stand in the legend

/* What the chooser offers is what the page has something to show of. A view is a name, a title,
   and what happens when it is shown and left; some have parts of their own, named in the address.
   ofDay is told the places of the zones of the day that is chosen, null for all days. */
function startViews(map, data, drawn, ofDay) {
  const paint = painter(drawn);
  const chooser = document.querySelector(".chooser");
  const under = element("div", "parts");
  chooser.after(under);
  const views = [
    conditionView(data, paint),
    workView(data, drawn, paint, ofDay),
    settingOutView(data, paint),
    beforeView(map, data, paint),
  ].filter(Boolean);
  if (!views.length) {
    chooser.hidden = true;
    return;
  }
  let shown = null;

  function show(view, part) {
    if (shown && shown !== view) {
      shown.leave?.();
    }
    shown = view;
    choice.check(view);
    under.replaceChildren(...[view.controls].filter(Boolean));
    under.hidden = !view.controls;
    document.body.dataset.view = view.name;
    view.show(part);
  }

  const choice = radios("view", views, (view) => {
    show(view);
    remember(view);
  });
  chooser.append(...choice.labels);
  views.forEach((view) => (view.moved = () => remember(view)));
  stayWhole(map, drawn.whole);
  startMore(data);
  window.addEventListener("hashchange", () => show(...asked(views)));
  show(...asked(views));
}

/* The view and its part that the address asks for; the first view when it asks for none. */
function asked(views) {
  const [name, part] = location.hash.slice(1).split("/");
  const found = views.find((view) => view.name === name.replace("-", "_"));
  return found ? [found, part] : [views[0]];
}

/* The address keeps the view, so that a link and a reload show it again; some hosts forbid that. */
function remember(view) {
  const part = view.part?.();
  const name = view.name.replace("_", "-");
  try {
    history.replaceState(null, "", `#${part ? `${name}/${part}` : name}`);
  } catch {
    // the view is as good without it
  }
}

/* Colours the zones and says what the colours mean. */
function painter(drawn) {
  const legend = document.querySelector(".legend .classes");
  function explain(theme) {
    document.body.dataset.theme = theme.name;
    const items = theme.classes.map((each, place) => [each.label, String(place)]);
    const meant = items.filter(([, place]) => !theme.used || theme.used.has(Number(place)));
    if (theme.unknown) {
      meant.push([theme.unknown, "none"]);
    }
    legend.replaceChildren(
      theme.title && theme.used ? element("li", "of-day", theme.title) : "",
      ...meant.map(([label, name]) =>
        element("li", "", swatch(`url(#${theme.name}-${name})`), element("span", "", label)),
      ),
    );
  }
  function paint(theme) {
    drawn.paint(theme);
    explain(theme);
  }
  paint.explain = explain;
  paint.plain = (name) => paint({ name: name, classes: [], plain: true });
  return paint;
}

/* One of several, by radio buttons: keys and screen readers know how to go about them. */
function radios(name, choices, choose) {
  const made = choices.map(function (choice) {
    const radio = element("input", "");
    radio.type = "radio";
    radio.name = name;
    radio.addEventListener("change", () => choose(choice));
    return radio;
  });
  return {
    labels: made.map((radio, place) =>
      element("label", "", radio, element("span", "", choices[place].title)),
    ),
    check: (choice) => (made[choices.indexOf(choice)].checked = true),
  };
}

function conditionView(data, paint) {
  const themes = data.themes.filter((theme) => theme.name !== "work");
  if (!themes.length) {
    return null;
  }
  const view = { name: "condition", title: data.words.view_condition, moved: () => {} };
  let shown = themes[0];
  const choice = radios("theme", themes, (theme) => {
    show(theme.name);
    view.moved();
  });
  function show(name) {
    shown = themes.find((theme) => theme.name === name) || shown;
    choice.check(shown);
    paint(shown);
  }
  const legend = element("legend", "", data.words.parts);
  const controls = element("fieldset", "chooser small", legend, ...choice.labels);
  return Object.assign(view, {
    controls: themes.length > 1 ? controls : null,
    part: () => shown.name,
    show: show,
  });
}

function workView(data, drawn, paint, ofDay) {
  const theme = data.themes.find((each) => each.name === "work");
  const { work } = data;
  if (!theme && !work.days) {
    return null;
  }
  const view = { name: "work", title: data.words.view_work, moved: () => {} };
  function showDay(day) {
    const places = day && dayPlaces(data, day);
    ofDay(places);
    if (day) {
      paint(dayTheme(work, day));
    } else if (theme) {
      paint(theme);
    } else {
      paint.plain("work");
    }
    drawn.emphasise(places);
  }
  const days = work.days ? startDays(data, showDay, () => view.moved()) : null;
  return Object.assign(view, {
    controls: days && days.controls,
    part: () => days && days.at(),
    show: (part) => (days ? days.show(part) : showDay(null)),
    leave: function () {
      ofDay(null);
      drawn.emphasise(null);
    },
  });
}

function settingOutView(data, paint) {
  if (!data.layers.some((layer) => layer.view === "setting_out")) {
    return null;
  }
  const title = data.words.view_setting_out;
  return { name: "setting_out", title: title, show: () => paint.plain("setting_out") };
}

/* Two surveys, where the page has an earlier one. */
function beforeView(map, data, paint) {
  if (!data.before) {
    return null;
  }
  const turn = startBefore(map, data, paint.explain);
  return {
    name: "before",
    title: data.before.title,
    show: function () {
      paint.plain("before");
      turn(true);
    },
    leave: () => turn(false),
  };
}

/* The place of the map grows and shrinks with what stands above and below it; all of the site stays
   in sight until somebody moves it. */
function stayWhole(map, whole) {
  let moved = false;
  let own = false;
  map.on("dragstart zoomstart", () => (moved = moved || !own));
  const fit = function () {
    own = true;
    map.invalidateSize({ animate: false });
    if (!moved && whole.isValid()) {
      map.fitBounds(whole, { animate: false, padding: [14, 14] });
    }
    own = false;
  };
  new ResizeObserver(fit).observe(map.getContainer());
}

/* Many layers that are off would push the map off the screen: a button brings them. */
function startMore(data) {
  const legend = document.querySelector(".legend");
  const off = legend.querySelectorAll(".layers input:not(:checked)");
  if (off.length <= FEW_LAYERS) {
    return;
  }
  const more = button("more-layers", data.words.more_layers, function () {
    const few = legend.classList.toggle("few");
    more.setAttribute("aria-expanded", String(!few));
  });
  more.setAttribute("aria-expanded", "false");
  legend.classList.add("few");
  legend.querySelector(".layers").before(more);
}
