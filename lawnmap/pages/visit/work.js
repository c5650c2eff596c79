/* Work done: the steps planned for a zone, ticked with what was really used.

What is on record already is shown with its day and cannot be ticked again. */

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
  const lines = [
    step.means,
    step.planned && filled(say.planned, { amount: step.planned }),
    step.done ? "" : step.day && filled(say.planned_day, { day: step.day }),
  ];
  return element(
    "div",
    done || step.done ? "card done" : "card",
    element("p", "", element("strong", "", said(step.title))),
    ...(step.may ? [] : [element("p", "", element("strong", "badge stop", step.status))]),
    ...(step.flag ? [element("p", "flag", said(step.flag))] : []),
    ...lines.filter(Boolean).map((line) => element("p", "hint", said(line))),
    ...(step.remark ? [element("p", "hint", said(step.remark))] : []),
    ...(step.done ? [element("p", "on-record", `✓ ${step.day || step.status}`)] : []),
    ...(step.ticked ? [workTick(lawn, step, done, again)] : []),
    ...(done ? workFields(step, done) : []),
  );
}

function workTick(lawn, step, done, again) {
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
  return tick;
}

function newWork(lawn, step) {
  return {
    id: madeUpId(),
    zone_id: lawn.id,
    operation: step.operation,
    application: step.application,
    date: today(),
    amount: null,
    unit: step.puts_on ? step.unit : "",
    area_m2: step.area_m2,
    product: step.product,
    note: "",
  };
}

function workFields(step, done) {
  const set = (name) => (value) => {
    done[name] = value;
    keep();
  };
  const amount = { low: 0, high: 9999999, value: done.amount, set: set("amount") };
  const area = { unit: "m²", low: 0, high: 9999999, value: done.area_m2, set: set("area_m2") };
  const putOn = [
    textField(say.work_product, done.product, set("product")),
    element(
      "div",
      "two",
      numberField(say.work_amount, amount),
      textField(say.work_unit, done.unit, set("unit")),
    ),
  ];
  return [
    ...(step.puts_on ? putOn : []),
    numberField(say.work_area, area),
    dayField(say.work_date, done.date, (value) => set("date")(value || today())),
    textField(say.note, done.note, set("note")),
  ];
}
