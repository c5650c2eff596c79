/* The panel of one zone or feature, the list of zones, and the choice of colours. */

function startPanel(data, panel, moveTo, comment) {
  let opener = null;

  function close() {
    if (panel.hidden) {
      return;
    }
    panel.hidden = true;
    moveTo(null);
    if (opener && opener.isConnected) {
      opener.focus();
    }
  }

  function open(chosen) {
    if (panel.hidden) {
      opener = document.activeElement;
    }
    const title = element("h2", "");
    title.id = "panel-title";
    title.tabIndex = -1;
    const shut = button("shut", "×", close);
    shut.setAttribute("aria-label", data.words.close);
    const bar = element("div", "bar", title, shut);
    const body = chosen.zone
      ? aboutZone(data, chosen.zone, title, open, comment)
      : aboutFeature(data, chosen.feature, title);
    panel.replaceChildren(bar, ...body.filter(Boolean));
    panel.hidden = false;
    panel.scrollTop = 0;
    moveTo(chosen.zone || null, panel.getBoundingClientRect());
    title.focus({ preventScroll: true });
  }

  document.addEventListener("keydown", (event) => event.key === "Escape" && close());
  return open;
}

function aboutZone(data, zone, title, open, comment) {
  const words = data.words;
  title.append(element("span", "pill", String(zone.number)), " ", said(zone.name));
  const [verdict, reason] = zone.verdict;
  const shown = element("div", "verdict", said(data.texts[verdict] || ""), why(data, reason));
  return [
    zone.subtitle ? element("p", "subtitle", said(zone.subtitle)) : null,
    verdict === null ? null : shown,
    zone.note ? element("p", "remark", said(zone.note)) : null,
    ...section(words.steps, zone.steps.length ? stepList(data, zone.steps) : null),
    ...section(words.chosen, lineList(data, zone.chosen)),
    ...section(words.found, lineList(data, zone.found)),
    ...section(words.left, leftList(data, zone.left)),
    comment(zone),
    neighbours(data, zone, open),
  ];
}

function aboutFeature(data, feature, title) {
  title.append(said(feature.name || feature.label));
  return [
    feature.name ? element("p", "subtitle", feature.label) : null,
    feature.note ? element("p", "remark", said(feature.note)) : null,
  ];
}

function section(heading, content) {
  return content ? [element("h3", "", heading), content] : [];
}

function lineList(data, lines) {
  if (!lines.length) {
    return null;
  }
  const rows = lines.map(([label, text, reason]) =>
    row(data.texts[label], said(data.texts[text]), why(data, reason)),
  );
  return element("dl", "lines", ...rows);
}

function row(label, ...text) {
  return element("div", "", element("dt", "", label), element("dd", "", ...text));
}

function stepList(data, steps) {
  const items = steps.map(function (step) {
    const head = element("p", "step", ...stepTitle(data, step));
    const rows = step.details.map(([label, text]) =>
      row(data.texts[label], said(data.texts[text])),
    );
    const lines = element("dl", "lines", ...rows);
    return element("li", "", head, stepFlag(data, step), lines, why(data, step.why));
  });
  return element("ol", "steps", ...items);
}

function stepTitle(data, step) {
  const title = element("strong", "", said(data.texts[step.title]));
  const known = step.status !== null;
  return known ? [title, " ", element("strong", `badge ${step.kind}`, data.texts[step.status])] : [title];
}

function stepFlag(data, step) {
  return step.flag === null ? "" : element("p", "flag", said(data.texts[step.flag]));
}

function leftText(data, step) {
  return `${data.texts[step.title]}: ${data.texts[step.status]}`;
}

function leftList(data, left) {
  if (!left.length) {
    return null;
  }
  const items = left.map((step) =>
    element("li", "", said(leftText(data, step)), why(data, step.why)),
  );
  return element("ul", "left", ...items);
}

function why(data, place) {
  if (place === null) {
    return "";
  }
  const reason = data.whys[place];
  const sources = reason.sources.map((source) => element("li", "", said(data.sources[source])));
  return element(
    "details",
    "why",
    element("summary", "", data.words.why),
    element("p", "", said(reason.sentence)),
    element("p", "standing", data.words.standing, " ", element("strong", "", reason.standing)),
    sources.length ? element("ul", "", ...sources) : "",
  );
}

function neighbours(data, zone, open) {
  const count = data.zones.length;
  if (count === 1) {
    return null;
  }
  const to = (step) => data.zones[(zone.number - 1 + step + count) % count];
  return element(
    "p",
    "neighbours",
    button("", data.words.before, () => open({ zone: to(-1) })),
    button("", data.words.after, () => open({ zone: to(1) })),
  );
}

/* The table of zones stands in the page already; here its rows come to life. */
function startList(data, open) {
  const rows = [...document.querySelectorAll("table.zones tr[data-zone]")];
  rows.forEach(function (row) {
    const called = row.querySelector(".called");
    const opens = button("", "", () => open({ zone: data.zones[Number(row.dataset.zone)] }));
    opens.append(...called.childNodes);
    called.append(opens);
  });
  const field = document.querySelector(".search input");
  const count = document.querySelector(".search .count");
  const shown = rows.map((row) => row.textContent.toLowerCase());
  field.addEventListener("input", function () {
    const wanted = field.value.trim().toLowerCase();
    const found = rows.filter(function (row, place) {
      row.hidden = !shown[place].includes(wanted);
      return !row.hidden;
    });
    count.textContent = wanted ? `${found.length} ${data.words.found_zones}` : "";
  });
  field.addEventListener("keydown", function (event) {
    const first = rows.find((row) => !row.hidden);
    if (event.key === "Enter" && first) {
      open({ zone: data.zones[Number(first.dataset.zone)] });
    }
  });
}

function startChooser(data, paint) {
  const chooser = document.querySelector(".chooser");
  const legend = document.querySelector(".legend .classes");
  function choose(theme) {
    document.body.dataset.theme = theme.name;
    paint(theme);
    const items = theme.classes.map((each, place) => [each.label, String(place)]);
    if (theme.unknown) {
      items.push([theme.unknown, "none"]);
    }
    legend.replaceChildren(
      ...items.map(([label, name]) =>
        element("li", "", swatch(`url(#${theme.name}-${name})`), element("span", "", label)),
      ),
    );
  }
  const views = [...data.themes];
  if (data.layers.some((layer) => layer.view === "setting_out")) {
    views.push({ name: "setting_out", title: data.words.setting_out, classes: [], plain: true });
  }
  views.forEach(function (theme, place) {
    const radio = element("input", "");
    radio.type = "radio";
    radio.name = "theme";
    radio.checked = place === 0;
    radio.addEventListener("change", () => choose(theme));
    chooser.append(element("label", "", radio, element("span", "", theme.title)));
  });
  if (views.length) {
    choose(views[0]);
  } else {
    chooser.hidden = true;
  }
}
