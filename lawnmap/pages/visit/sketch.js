/* Sketch a lawn by its lengths, see it drawn to scale, and put it among the zones. */

const EXAMPLES = {
  four: [[0, 0], [9, 0], [8, 6], [-1, 5]],
  triangle: [[0, 0], [9, 0], [3, 6]],
  rectangle: [[0, 0], [9, 0], [9, 6], [0, 6]],
  corners: [[0, 0], [9, 0], [9, 4], [4, 6], [0, 5]],
};

function showSketch() {
  const draft = state.draft;
  const result = element("div", "");
  const redraw = () => {
    keep();
    result.replaceChildren(...outcome(draft));
  };
  const again = () => {
    keep();
    showSketch();
  };
  const set = (name) => (value) => {
    draft[name] = value;
    redraw();
  };
  const shapes = Object.keys(SHAPES).map((name) => [name, say[`shape_${name}`]]);
  const hows = ["tape", "paces"].map((name) => [name, say[`how_${name}`]]);
  const pick = (name) => (value) => {
    draft[name] = value;
    again();
  };
  const fixed = { short: true, free: false };
  const paced = { unit: "m", low: 0.3, high: 2, value: draft.pace, set: set("pace") };
  const pace = draft.how === "paces" ? [hint(say.pace_hint), numberField(say.pace, paced)] : [];
  shownPane(
    "sketch",
    element("h2", "", say.sketch_title),
    choiceField(say.shape, shapes, draft.shape, pick("shape"), fixed),
    choiceField(say.measured_with, hows, draft.how, pick("how"), fixed),
    ...pace,
    ...(draft.shape === "corners" ? cornerRows(draft, redraw, again) : sideFields(draft, redraw)),
    result,
    textField(say.sketch_name, draft.name, set("name")),
    placeField(() => draft.at, set("at"), say.sketch_where),
    button("main", say.sketch_add, addSketch),
    riskyButton(say.sketch_clear, say.tap_again, () => {
      state.draft = newDraft();
      again();
    }),
  );
  redraw();
}

function sideFields(draft, redraw) {
  const unit = draft.how === "paces" ? say.paces : "m";
  const fields = SHAPES[draft.shape].map((name) => {
    const set = (value) => {
      draft.sizes[name] = value;
      redraw();
    };
    const label = name === "AC" ? say.diagonal : filled(say.side, { side: name });
    const value = draft.sizes[name] ?? null;
    return numberField(label, { unit: unit, low: 0.1, high: 3000, value: value, set: set });
  });
  return [hint(say[`hint_${draft.shape}`]), element("div", "two", ...fields)];
}

function cornerRows(draft, redraw, again) {
  while (draft.corners.length < 3) {
    draft.corners.push([null, null]);
  }
  const rows = draft.corners.map((corner, place) => {
    const part = (axis, label) => {
      const set = (value) => {
        corner[axis] = value;
        redraw();
      };
      return numberField(label, { low: -3000, high: 3000, value: corner[axis], set: set });
    };
    const away = button("", "×", () => {
      draft.corners.splice(place, 1);
      again();
    });
    away.setAttribute("aria-label", filled(say.corner_away, { corner: CORNERS[place] }));
    const letter = element("b", "", CORNERS[place]);
    return element("div", "corner", letter, part(0, say.along), part(1, say.out), away);
  });
  const more = button("", say.corner_more, () => {
    draft.corners.push([null, null]);
    again();
  });
  more.disabled = draft.corners.length >= CORNERS.length;
  return [hint(say.hint_corners), ...rows, more];
}

function outcome(draft) {
  const found = outlineOf(draft);
  if (found.problem) {
    return [element("p", "outcome bad", found.problem)];
  }
  const diagonal = draft.shape === "four";
  if (!found.ring) {
    return [drawnOutline(EXAMPLES[draft.shape], { example: true, diagonal: diagonal })];
  }
  return [
    drawnOutline(found.ring, { diagonal: diagonal }),
    element("p", "outcome", about(found.ring)),
    hint(say.about_hint),
  ];
}

function addSketch() {
  const draft = state.draft;
  const found = outlineOf(draft);
  if (!found.ring) {
    tell(found.problem || (draft.how === "paces" && !draft.pace ? say.pace_first : say.sizes_first));
    return;
  }
  if (!draft.name) {
    tell(say.name_first);
    return;
  }
  // Among zones that have a place on the earth, a lawn without one cannot be read.
  if (visit.placed && data.zones.length && !draft.at) {
    tell(say.corner_first);
    return;
  }
  const measured = draft.shape === "corners" ? "corners" : "sides and diagonal";
  state.sketches.push({
    id: madeUpId(),
    name: draft.name,
    ring: found.ring.map((corner) => corner.map((each) => Number(each.toFixed(3)))),
    at: draft.at,
    how: draft.how === "paces" ? "paces" : measured,
    facts: {},
  });
  state.draft = { ...newDraft(), how: draft.how, pace: draft.pace };
  keep();
  showSketch();
  current.part = "facts";
  openLawn(sketchLawn(state.sketches.at(-1)));
  tell(say.sketch_added);
}
