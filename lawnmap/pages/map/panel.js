/* The panel of one zone or feature: what is done when, what to watch for, and why. */

function startPanel(data, panel, moveTo, comment) {
  let opener = null;
  let shown = null;

  function close() {
    if (panel.hidden) {
      return;
    }
    panel.hidden = true;
    shown = null;
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
    panel.replaceChildren(bar, ...bodyOf(chosen, title));
    shown = chosen;
    if (chosen.zone && !chosen.zone.steps) {
      follow(chosen);
    }
    panel.hidden = false;
    panel.scrollTop = 0;
    moveTo(chosen.zone || null, panel.getBoundingClientRect());
    title.focus({ preventScroll: true });
  }

  function bodyOf({ zone, feature }, title) {
    const body = zone
      ? aboutZone(zone.told || data, zone, title, open, comment)
      : aboutFeature(data, feature, title);
    return body.filter(Boolean);
  }

  /* The details of a zone of a long page come a moment after its name, if it is still wanted. */
  async function follow(chosen) {
    const come = await detailsOf(data, chosen.zone).then(() => true, () => false);
    if (shown === chosen) {
      const [, ...before] = panel.children; // the bar stays, and what has the focus in it
      before.forEach((each) => each.remove());
      panel.append(
        ...(come
          ? bodyOf(chosen, element("h2", ""))
          : [element("p", "remark", data.words.cannot_open)]),
      );
    }
  }

  document.addEventListener("keydown", (event) => event.key === "Escape" && close());
  return open;
}

/* First what to do and when the ground is closed, then how; what it rests on comes last. */
function aboutZone(data, zone, title, open, comment) {
  const { words } = data;
  title.append(element("span", "pill", String(zone.number)), " ", said(zone.name));
  const subtitle = zone.subtitle ? element("p", "subtitle", said(zone.subtitle)) : null;
  const [verdict, reason] = zone.verdict;
  const shown = element("div", "verdict", said(data.texts[verdict] || ""), why(data, reason));
  const first = [subtitle, verdict === null ? null : shown];
  if (!zone.steps) {
    return [...first, element("p", "note", words.opening)];
  }
  return [
    ...first,
    zone.note ? element("p", "remark", said(zone.note)) : null,
    ...section(words.days, daysOf(data, zone)),
    ...section(words.steps, zone.steps.length ? stepList(data, zone.steps) : null),
    ...section(words.watch, watchList(data, zone)),
    ...section(words.found, lineList(data, zone.found)),
    ...section(words.chosen, lineList(data, zone.chosen)),
    ...section(words.left, leftList(data, zone.left)),
    ...beforeSection(data, zone),
    comment(zone),
    neighbours(data, zone, open),
  ];
}

/* The days of a zone in their order, and until when people keep off. */
function daysOf(data, zone) {
  const days = dayRows(data, zone);
  if (!days.length) {
    return null;
  }
  const rows = days.map(([day, what, until]) =>
    row(day, said(what), until ? element("p", "until", said(until)) : ""),
  );
  return element("dl", "lines", ...rows);
}

/* What to look at twice in a step, then strips, what lies hidden, and the slope. */
function watchList(data, zone) {
  const flags = zone.steps
    .filter((step) => step.flag !== null)
    .map((step) => element("p", "flag", `${data.texts[step.title]}: `, said(data.texts[step.flag])));
  const lines = lineList(data, zone.watch);
  return flags.length || lines ? element("div", "watch", ...flags, lines || "") : null;
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
    return element("li", "", head, stepFlag(data, step), lines, gates(data, step), why(data, step.why));
  });
  return element("ol", "steps", ...items);
}

/* What must hold on the day, to be opened by whoever does the work. */
function gates(data, step) {
  if (!step.gates.length) {
    return "";
  }
  const lines = step.gates.map((gate) => element("li", "", said(data.texts[gate])));
  return element("details", "why", element("summary", "", data.words.gates), element("ul", "", ...lines));
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
