/* The parts of a form: a label above, a large target below, what is wrong in words beneath. */

let fieldsMade = 0;

function field(label, ...inside) {
  const input = inside.find((each) => each.matches?.("input, textarea, select"));
  const head = element(input ? "label" : "p", "label", label);
  if (input) {
    fieldsMade += 1;
    input.id = `field-${fieldsMade}`;
    head.htmlFor = input.id;
  }
  return element("div", "field", head, ...inside);
}

/* A number with its unit; `set` gets null, or a number within the range, and nothing else. */
function numberField(label, { unit = "", low = null, high = null, value = null, set }) {
  const input = element("input", "");
  input.type = "text";
  input.inputMode = low !== null && low >= 0 ? "decimal" : "text";
  input.autocomplete = "off";
  input.value = value === null ? "" : String(value);
  const made = field(label, input);
  const bad = element("p", "bad");
  bad.setAttribute("role", "alert");
  bad.hidden = true;
  const beside = element("div", "with");
  input.replaceWith(beside);
  beside.append(input, element("span", "", unit));
  made.append(bad);
  input.addEventListener("input", () => {
    const found = numberOf(input.value);
    const wrong = outOfRange(found, low, high);
    bad.textContent = wrong;
    bad.hidden = !wrong;
    made.classList.toggle("wrong", Boolean(wrong));
    set(wrong ? null : found);
  });
  return made;
}

function outOfRange(found, low, high) {
  if (found === null) {
    return "";
  }
  if (Number.isNaN(found)) {
    return say.no_number;
  }
  const below = low !== null && found < low;
  const above = high !== null && found > high;
  return below || above ? filled(say.out_of_range, { low: low ?? "", high: high ?? "" }) : "";
}

function textField(label, value, set, { long = false, type = "text" } = {}) {
  const input = element(long ? "textarea" : "input", "");
  if (!long) {
    input.type = type;
    input.autocomplete = "off";
  }
  input.maxLength = long ? 2000 : 150;
  input.value = value ?? "";
  input.addEventListener("input", () => set(input.value.trim()));
  return field(label, input);
}

/* A day that has come; a later one is not taken, and the field shows the one before it again. */
function dayField(label, value, set) {
  let last = value ?? "";
  const made = textField(
    label,
    last,
    (found) => {
      if (found > today()) {
        input.value = last;
        tell(say.day_to_come);
        return;
      }
      last = found;
      set(found);
    },
    { type: "date" },
  );
  const input = made.querySelector("input");
  input.max = today();
  return made;
}

/* One of several, as buttons; a second tap on the chosen one takes it back. */
function choiceField(label, choices, value, set, { short = false, codes = false, free = true } = {}) {
  let chosen = value;
  const buttons = choices.map(([code, text]) => {
    const inside = codes
      ? [element("span", "code", String(code)), element("span", "", text)]
      : [element("span", "", text)];
    const made = button("", "", () => {
      chosen = chosen === code && free ? null : code;
      show();
      set(chosen);
    });
    made.replaceChildren(...inside);
    return made;
  });
  function show() {
    buttons.forEach((each, place) => {
      each.setAttribute("aria-pressed", String(choices[place][0] === chosen));
    });
  }
  show();
  const picks = element("div", short ? "picks short" : "picks", ...buttons);
  picks.setAttribute("role", "group");
  picks.setAttribute("aria-label", label);
  return field(label, picks);
}

function hint(text) {
  return element("p", "hint", text);
}

/* A button that does what cannot be taken back only when it is tapped twice. */
function riskyButton(label, sure, action) {
  let asked = false;
  const made = button("risky", label, () => {
    if (asked) {
      action();
      return;
    }
    asked = true;
    made.textContent = sure;
  });
  return made;
}

function shownPane(name, ...inside) {
  document.getElementById(`pane-${name}`).replaceChildren(...inside);
}
