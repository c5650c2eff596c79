/* The facts of a lawn: rated by eye in words, measured, or noted. */

/* A zone of the site: what differs from the page as it was made is kept apart. */
function zoneFacts(zone) {
  return {
    value(name) {
      const now = state.zones[zone.zone_id] ?? {};
      return Object.hasOwn(now, name) ? now[name] : zone.facts[name] ?? null;
    },
    set(name, value) {
      const now = { ...state.zones[zone.zone_id] };
      if (value === (zone.facts[name] ?? null)) {
        delete now[name];
      } else {
        now[name] = value;
      }
      state.zones[zone.zone_id] = now;
      if (!Object.keys(now).length) {
        delete state.zones[zone.zone_id];
      }
      keep();
    },
  };
}

/* A sketched lawn: everything said of it goes with it. */
function sketchFacts(sketch) {
  return {
    value: (name) => sketch.facts[name] ?? null,
    set(name, value) {
      if (value === null) {
        delete sketch.facts[name];
      } else {
        sketch.facts[name] = value;
      }
      keep();
    },
  };
}

function factsForm(facts) {
  const asked = visit.columns.map((column) => factField(column, facts));
  const more = element("details", "", element("summary", "", say.more));
  more.append(...asked.slice(visit.first));
  return [...asked.slice(0, visit.first), more];
}

function factField(column, facts) {
  const value = facts.value(column.name);
  const set = (found) => facts.set(column.name, found === "" ? null : found);
  if (column.form === "number") {
    return numberField(column.label, { ...column, value: value, set: set });
  }
  if (column.form === "choice") {
    const rated = typeof column.choices[0][0] === "number";
    return choiceField(column.label, column.choices, value, set, { short: !rated, codes: rated });
  }
  if (column.form === "day") {
    return dayField(column.label, value, set);
  }
  return textField(column.label, value, set, { long: column.form === "note" });
}

/* Facts as one line of text: "Moss cover, by eye: 3, much (25 to 50 %); Drainage: slow". */
function factsAsText(found) {
  return Object.entries(found)
    .map(([name, value]) => {
      const column = visit.columns.find((each) => each.name === name);
      return `${column.label}: ${value === null ? say.taken_back : factAsText(column, value)}`;
    })
    .join("; ");
}

/* A class is told in words too: nobody knows a scale by its numbers. */
function factAsText(column, value) {
  if (typeof column.choices?.[0][0] === "number") {
    const [, meant] = column.choices.find(([code]) => code === value) ?? [];
    return [value, meant].filter((each) => each !== undefined).join(", ");
  }
  return [value, column.unit].filter(String).join(" ");
}
