/* Core samples: how thick the brown layer is, and at how many points of a grid moss was met. */

function coresForm(lawn, again) {
  const core = { thatch_mm: null, moss_hits: null, moss_points: null, lonlat: null, note: "" };
  const set = (name) => (value) => {
    core[name] = value;
  };
  const mine = state.cores.filter((each) => each.zone_id === lawn.id);
  const listed = mine.map((each, place) =>
    doneLine(`${place + 1}. ${coreAsText(each)}`, () => {
      state.cores.splice(state.cores.indexOf(each), 1);
      keep();
      drawMine();
      again();
    }),
  );
  const add = () => {
    const wrong = coreProblem(core);
    if (wrong) {
      tell(wrong);
      return;
    }
    state.cores.push({ id: madeUpId(), zone_id: lawn.id, ...core, date: today() });
    keep();
    drawMine();
    again();
    tell(say.core_added);
  };
  const where = lawn.sketch ? [] : [placeField(() => core.lonlat, set("lonlat"), say.core_where)];
  return [
    element("h3", "", say.cores_title),
    hint(say.cores_hint),
    ...listed,
    numberField(say.core_thatch, { unit: "mm", low: 0, high: 200, set: set("thatch_mm") }),
    element(
      "div",
      "two",
      numberField(say.core_hits, { low: 0, high: 10000, set: set("moss_hits") }),
      numberField(say.core_points, { low: 1, high: 10000, set: set("moss_points") }),
    ),
    ...where,
    textField(say.note, "", set("note")),
    button("main", say.core_add, add),
  ];
}

function coreProblem(core) {
  const { thatch_mm: thatch, moss_hits: hits, moss_points: points } = core;
  if (thatch === null && hits === null && points === null) {
    return say.core_empty;
  }
  if ((hits === null) !== (points === null)) {
    return say.core_both;
  }
  if (![hits ?? 0, points ?? 0].every(Number.isInteger)) {
    return say.core_whole;
  }
  return hits !== null && hits > points ? say.core_more : "";
}

function coreAsText(core) {
  const parts = [];
  if (core.thatch_mm !== null) {
    parts.push(filled(say.core_says_thatch, { mm: core.thatch_mm }));
  }
  if (core.moss_hits !== null) {
    parts.push(filled(say.core_says_moss, { hits: core.moss_hits, points: core.moss_points }));
  }
  return [...parts, core.note].filter(Boolean).join(", ");
}
