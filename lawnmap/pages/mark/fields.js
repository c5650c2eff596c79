/* One input for one fact, by what its column says: words, a number with its range, a day, text.

   Every field is {node, show(values), flush()}. `values` are those of all chosen features,
   undefined where one has none. `write(value)` is called with what was typed once it holds, and
   undefined empties. What does not hold is told beside the input and is not written. */

import { button, fresh, make, radios } from "./form_parts.js";
import { columnName, word } from "./form_words.js";

const FEW_WORDS = 4; // up to which all are shown at once
const SHOWN = 4; // of values that differ

export function field(column, write) {
  if (column.words.length) {
    return column.words.length > FEW_WORDS ? select(column, write) : wordRadios(column, write);
  }
  if (/YYYY-MM-DD/.test(column.meaning)) {
    return line(column, write, { read: day, hint: "", attributes: { type: "date" } });
  }
  if (column.unit) {
    const attributes = { type: "text", inputmode: "decimal", class: "number" };
    return line(column, write, { read: numberOf(column), hint: rangeText(column), attributes });
  }
  return line(column, write, { read: (text) => ({ value: text }), hint: "", attributes: {} });
}

/* A choice among given words, with one for "not said". */
export function select(column, write, words = column.words) {
  const options = [["", word("not_said")], ...words.map((each) => [each, each])];
  const input = make(
    "select",
    { id: fresh("fact"), "data-column": column.name },
    ...options.map(([value, label]) => make("option", { value }, label)),
  );
  const mixed = mixture(column, write);
  input.addEventListener("change", () => write(input.value || undefined));
  return {
    node: row(column, input, mixed.node, hintOf(column, input)),
    show(values) {
      const one = mixed.show(values);
      const value = one ? values[0] : undefined;
      input.querySelector("[data-foreign]")?.remove();
      if (value !== undefined && !words.includes(value)) {
        input.append(make("option", { value, "data-foreign": true }, String(value)));
      }
      input.selectedIndex = -1;
      if (one) {
        input.value = value === undefined ? "" : String(value);
      }
    },
    flush() {},
  };
}

function wordRadios(column, write) {
  const options = [...column.words, null].map((value) => ({
    value,
    body: make("span", {}, value === null ? word("not_said") : value),
  }));
  const pick = (value) => write(value === null ? undefined : value);
  const group = radios(columnName(column.name), options, pick, { "data-column": column.name });
  const mixed = mixture(column, write);
  group.node.append(mixed.node);
  return {
    node: group.node,
    show(values) {
      const one = mixed.show(values);
      group.show(one ? (values[0] === undefined ? null : values[0]) : undefined);
    },
    flush() {},
  };
}

/* A line (or, for notes, a box) to type in. */
function line(column, write, { read, hint, attributes }) {
  const many = column.name.endsWith("_note");
  const input = make(many ? "textarea" : "input", {
    id: fresh("fact"),
    rows: many ? 3 : null,
    autocomplete: "off",
    "data-column": column.name,
    ...(many ? {} : { type: "text" }),
    ...attributes,
  });
  const mixed = mixture(column, write);
  const wrong = make("p", { class: "wrong", id: fresh("wrong"), role: "alert" });
  const about = hintOf(column, input, hint);
  let shown = "";

  function commit() {
    const text = input.value.trim();
    if (text === shown && !input.validity.badInput) {
      tell("");
      return;
    }
    const found = text === "" && !input.validity.badInput ? { value: undefined } : read(text);
    tell(found.wrong || "");
    if (!found.wrong) {
      shown = text;
      write(found.value);
    }
  }
  function tell(text) {
    wrong.textContent = text;
    input.setAttribute("aria-invalid", text ? "true" : "false");
  }
  input.addEventListener("change", commit);
  input.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && !many) {
      commit();
    }
  });
  input.setAttribute("aria-describedby", [about?.id, mixed.id, wrong.id].filter(Boolean).join(" "));
  return {
    node: row(column, input, mixed.node, about, wrong),
    show(values) {
      const one = mixed.show(values);
      const text = one && values[0] !== undefined ? String(values[0]) : "";
      const pending = input.value.trim() !== shown || input.validity.badInput;
      const held = pending && (text === shown || document.activeElement === input);
      shown = text;
      if (!held) {
        input.value = text;
        tell("");
      }
    },
    flush: commit,
  };
}

function row(column, input, mixed, hint, wrong) {
  const unit = unitOf(column);
  const label = make("label", { for: input.id }, columnName(column.name));
  const held = unit
    ? make("span", { class: "measured" }, input, make("span", { class: "unit" }, unit))
    : input;
  return make("div", { class: `fact fact-${column.name}` }, label, held, mixed, hint, wrong);
}

/* What the chosen features have, when they do not have the same. */
export function mixture(column, write) {
  const id = fresh("mixed");
  const node = make("p", { class: "mixed", id, hidden: true });
  return {
    id,
    node,
    show(values) {
      const texts = values.map((value) => (value === undefined ? word("empty") : String(value)));
      const different = [...new Set(texts)];
      node.hidden = different.length < 2;
      node.replaceChildren();
      if (!node.hidden) {
        const more = different.length > SHOWN ? ["…"] : [];
        const some = [...different.slice(0, SHOWN), ...more].join(" · ");
        const empty = word("empty_all", { count: values.length });
        node.append(
          make("span", {}, word("differs", { values: some })),
          button(empty, () => write(undefined)),
        );
      }
      return node.hidden;
    },
  };
}

function hintOf(column, input, range = "") {
  const said = column.meaning ? column.meaning[0].toUpperCase() + column.meaning.slice(1) : "";
  const text = [said.replace(/, YYYY-MM-DD/, ""), range].filter(Boolean).join(": ");
  if (!text) {
    return null;
  }
  const hint = make("p", { class: "hint", id: fresh("hint") }, text);
  input.setAttribute("aria-describedby", hint.id);
  return hint;
}

export function unitOf(column) {
  return ["class", "count", "pH", ""].includes(column.unit) ? "" : column.unit;
}

function rangeText(column) {
  const { low, high } = column;
  const unit = unitOf(column) ? ` ${unitOf(column)}` : "";
  if (low !== null && high !== null) {
    return word("range", { low, high: `${high}${unit}` });
  }
  if (low !== null) {
    return word("at_least", { low: `${low}${unit}` });
  }
  return high === null ? "" : word("at_most", { high: `${high}${unit}` });
}

/* Reads what was typed as a number of the column: {value} or {wrong: in words}. */
function numberOf(column) {
  return (text) => {
    const plain = text.replace(",", ".").replace("−", "-").replace(/\s*%$/, "");
    if (!/^[+-]?(\d{1,15}(\.\d{0,12})?|\.\d{1,12})$/.test(plain)) {
      return { wrong: word("not_a_number", { text }) };
    }
    const value = Number(plain);
    if (column.unit === "count" && !Number.isInteger(value)) {
      return { wrong: word("not_whole", { text }) };
    }
    if (value < (column.low ?? -Infinity) || value > (column.high ?? Infinity)) {
      return { wrong: word("out_of_range", { text, range: rangeText(column) }) };
    }
    return { value };
  };
}

function day(text) {
  const found = /^\d{4}-\d{2}-\d{2}$/.test(text) && !Number.isNaN(Date.parse(text));
  return found ? { value: text } : { wrong: word("not_a_day", { text }) };
}
