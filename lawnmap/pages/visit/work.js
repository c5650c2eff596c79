/* Work done: the steps planned for a zone, ticked with what was really used. */

function workForm(lawn, again) {
  if (!lawn.work.length) {
    return [element("h3", "", say.work_title), hint(say.no_work)];
  }
  return [
    element("h3", "", say.work_title),
    ...lawn.work.map((step) => workCard(lawn, step, again)),
  ];
}

function workCard(lawn, step, again) {
  const done = state.work.find(
    (each) =>
      each.zone_id === lawn.id &&
      each.operation === step.operation &&
      each.application === step.application,
  );
  const tick = button("", done ? `✓ ${say.work_done}` : say.work_tick, () => {
    if (done) {
      state.work.splice(state.work.indexOf(done), 1);
    } else {
      state.work.push(newWork(lawn, step));
    }
    keep();
    again();
  });
  tick.setAttribute("aria-pressed", String(Boolean(done)));
  tick.setAttribute("aria-label", `${step.title}: ${done ? say.work_done : say.work_tick}`);
  const lines = [step.means, step.planned && filled(say.planned, { amount: step.planned })];
  return element(
    "div",
    done ? "card done" : "card",
    element("p", "", element("strong", "", said(step.title))),
    ...(step.may ? [] : [element("p", "", element("strong", "badge stop", step.status))]),
    ...(step.flag ? [element("p", "flag", said(step.flag))] : []),
    ...lines.filter(Boolean).map((line) => element("p", "hint", said(line))),
    ...(step.remark ? [element("p", "hint", said(step.remark))] : []),
    tick,
    ...(done ? workFields(done) : []),
  );
}

function newWork(lawn, step) {
  return {
    id: madeUpId(),
    zone_id: lawn.id,
    operation: step.operation,
    application: step.application,
    date: today(),
    amount: null,
    unit: step.unit,
    note: "",
  };
}

function workFields(done) {
  const set = (name) => (value) => {
    done[name] = value;
    keep();
  };
  const day = (value) => set("date")(value || today());
  return [
    element(
      "div",
      "two",
      numberField(say.work_amount, { low: 0, high: 999999, value: done.amount, set: set("amount") }),
      textField(say.work_unit, done.unit, set("unit")),
    ),
    textField(say.work_date, done.date, day, { type: "date" }),
    textField(say.note, done.note, set("note")),
  ];
}
