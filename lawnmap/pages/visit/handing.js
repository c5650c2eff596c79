/* Hand back what was done: as a small file, or as text for a mail. */

function showReply() {
  const text = element("textarea", "");
  text.hidden = true;
  text.readOnly = true;
  text.setAttribute("aria-label", say.copy);
  const name = textField(say.by, state.by, (value) => {
    state.by = value;
    keep();
  });
  const hand = (action) => () => {
    const wrong = notYet();
    if (wrong) {
      tell(wrong);
      return;
    }
    action(makeReply(replyContent()));
  };
  const copy = async (reply) => {
    const copied = await copyText(replyAsText(reply, summary(true)), text);
    tell(copied ? say.copied : say.copy_by_hand);
  };
  const save = (reply) => {
    saveReply(reply);
    tell(filled(say.saved, { name: reply.name }));
  };
  const lines = summary(false).map((line) => element("li", "", said(line)));
  shownPane(
    "reply",
    element("h2", "", say.reply_title),
    lines.length ? element("ul", "", ...lines) : hint(say.nothing),
    name,
    button("main", say.save, hand(save)),
    button("main", say.copy, hand(copy)),
    text,
    hint(say.reply_hint),
    element("h3", "", say.again_title),
    hint(say.again_hint),
    riskyButton(say.again, say.tap_again, () => {
      forget();
      drawMine();
      showSketch();
      showAnswers();
      show("reply");
    }),
  );
}

function notYet() {
  if (!summary(false).length) {
    return say.nothing;
  }
  return state.by ? "" : say.by_first;
}

function replyContent() {
  const zones = Object.entries(state.zones).map(([zoneId, now]) => {
    const { facts } = data.zones.find((each) => each.zone_id === zoneId);
    const base = Object.fromEntries(Object.keys(now).map((name) => [name, facts[name] ?? null]));
    return { zone_id: zoneId, base: base, now: now };
  });
  return {
    kind: "visit",
    site: visit.site,
    issued: visit.issued,
    by: state.by,
    zones: zones,
    sketches: state.sketches,
    places: state.places,
    cores: state.cores,
    work: state.work,
    answers: answersAsText(),
  };
}

/* What was done, in lines; `whole` has the head of a mail too. */
function summary(whole) {
  const named = Object.fromEntries([
    ...data.zones.map((zone) => [zone.zone_id, zone.name]),
    ...state.sketches.map((sketch) => [sketch.id, sketch.name]),
  ]);
  const head = { title: visit.site.title || say.page, by: state.by, at: momentNow() };
  const step = (job) => {
    const zone = data.zones.find((each) => each.zone_id === job.zone_id);
    return zone?.work.find((each) => each.operation === job.operation)?.title ?? job.operation;
  };
  return [
    ...(whole ? [filled(say.text_head, head)] : []),
    ...Object.entries(state.zones).map(([id, now]) => `${named[id]}: ${factsAsText(now)}`),
    ...state.sketches.map((each) =>
      [`${each.name}: ${about(each.ring)}`, factsAsText(each.facts)].filter(Boolean).join("; "),
    ),
    ...state.cores.map((each) => `${named[each.zone_id]}: ${say.core}: ${coreAsText(each)}`),
    ...state.work.map((each) => {
      const used = each.amount === null ? "" : `${each.amount} ${each.unit} ${each.product}`.trim();
      const ground = each.area_m2 === null ? "" : `${each.area_m2} m²`;
      const parts = [`${named[each.zone_id]}: ${step(each)}`, each.date, used, ground, each.note];
      return parts.filter(Boolean).join(", ");
    }),
    ...state.places.map((each) => [kindLabel(each), each.facts.name].filter(Boolean).join(": ")),
    ...Object.entries(answersAsText()).map(([asked, answer]) => `${asked} ${answer}`),
  ];
}
