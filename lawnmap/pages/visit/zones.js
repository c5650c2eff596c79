/* The list of lawns, zones of the site and sketches alike, and everything asked of one. */

function zoneLawn(zone) {
  return {
    id: zone.zone_id,
    name: zone.name,
    number: zone.number,
    area: zone.area,
    work: zone.work,
    sketch: null,
    facts: zoneFacts(zone),
  };
}

function sketchLawn(sketch) {
  return {
    id: sketch.id,
    name: sketch.name,
    number: "+",
    area: about(sketch.ring),
    work: [],
    sketch: sketch,
    facts: sketchFacts(sketch),
  };
}

function showZones() {
  const lawns = [...data.zones.map(zoneLawn), ...state.sketches.map(sketchLawn)];
  const items = lawns.map((lawn) => {
    const opens = button("", "", () => openLawn(lawn));
    const done = doneInWords(lawn);
    opens.replaceChildren(
      element("span", "pill", String(lawn.number)),
      element("strong", "", said(lawn.name)),
      element("small", "", lawn.area, ...(done ? [" · ", element("span", "done", done)] : [])),
    );
    return element("li", "", opens);
  });
  shownPane(
    "zones",
    element("h2", "", say.zones_title),
    ...(items.length ? [element("ol", "rows", ...items)] : [hint(say.empty_site)]),
    button(items.length ? "" : "main", items.length ? say.sketch_new : say.sketch_first, () => show("sketch")),
  );
}

/* What was done with a lawn on this page: "rated, 2 cores, 1 job done". */
function doneInWords(lawn) {
  const cores = state.cores.filter((each) => each.zone_id === lawn.id).length;
  const jobs = state.work.filter((each) => each.zone_id === lawn.id).length;
  const rated = lawn.sketch ? Object.keys(lawn.sketch.facts).length : state.zones[lawn.id];
  const parts = [
    lawn.sketch ? say.done_sketched : "",
    rated ? say.done_rated : "",
    cores ? filled(say.done_cores, { count: cores }) : "",
    jobs ? filled(say.done_jobs, { count: jobs }) : "",
  ];
  return parts.filter(Boolean).join(", ");
}

function openLawn(lawn) {
  const heading = element("h2", "", element("span", "pill", String(lawn.number)), " ", said(lawn.name));
  heading.tabIndex = -1;
  const inside = {
    facts: () => [element("h3", "", say.facts_title), ...factsForm(lawn.facts)],
    cores: () => coresForm(lawn, showPart),
    work: () => workForm(lawn, showPart),
  };
  const part = element("div", "");
  const parts = Object.keys(inside).map((name) => {
    const made = button("", say[`part_${name}`], () => {
      current.part = name;
      showPart();
    });
    made.dataset.part = name;
    return made;
  });
  function showPart() {
    part.replaceChildren(...inside[current.part]());
    parts.forEach((each) => {
      each.setAttribute("aria-pressed", String(each.dataset.part === current.part));
    });
  }
  showPart();
  shownPane(
    "zone",
    button("", `‹ ${say.back}`, () => show("zones")),
    heading,
    element("p", "hint", lawn.area),
    ...(lawn.sketch ? aboutSketch(lawn.sketch) : []),
    element("div", "parts", ...parts),
    part,
    button("main", say.ready, () => show("zones")),
  );
  show("zone");
  window.scrollTo(0, 0);
  heading.focus({ preventScroll: true });
}

function aboutSketch(sketch) {
  const away = riskyButton(say.sketch_away, say.tap_again, () => {
    state.sketches.splice(state.sketches.indexOf(sketch), 1);
    for (const list of ["cores", "work"]) {
      state[list] = state[list].filter((each) => each.zone_id !== sketch.id);
    }
    keep();
    show("zones");
  });
  return [drawnOutline(sketch.ring), away];
}
