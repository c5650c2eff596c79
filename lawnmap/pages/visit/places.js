/* Where something is: tapped on the map, or where the phone says it stands. */

const ROUGH_M = 10; // beyond this a phone's place is not worth much
let picking = null;

function canTap() {
  return data.zones.length > 0 && !data.flat;
}

/* Ask for one tap on the map; `done` gets [lon, lat]. */
function pickOnMap(asked, done) {
  const back = current.pane;
  const ask = document.querySelector(".stage .ask");
  const stop = () => {
    picking = null;
    ask.hidden = true;
    document.body.classList.remove("picking");
    show(back);
  };
  ask.replaceChildren(asked, button("", say.cancel, stop));
  ask.hidden = false;
  document.body.classList.add("picking");
  picking = (at) => {
    stop();
    done(at);
  };
  show("map");
}

function phonePlace(done, failed) {
  if (!navigator.geolocation) {
    failed(say.no_phone_place);
    return;
  }
  navigator.geolocation.getCurrentPosition(
    ({ coords }) => {
      const at = [coords.longitude, coords.latitude].map((each) => Number(each.toFixed(7)));
      done(at, coords.accuracy);
    },
    () => failed(say.no_phone_place),
    { enableHighAccuracy: true, timeout: 20000, maximumAge: 0 },
  );
}

function placeField(value, set, label) {
  const shown = element("p", "where");
  const write = (note) => {
    const at = value();
    const where = at ? filled(say.place_is, { lon: at[0], lat: at[1] }) : say.no_place;
    shown.textContent = [where, note].filter(Boolean).join(" ");
  };
  const take = (at, note) => {
    set(at);
    write(note);
  };
  const ways = [];
  if (canTap()) {
    ways.push(button("", say.tap_map, () => pickOnMap(say.tap_now, (at) => take(at, ""))));
  }
  if (visit.placed) {
    const here = () => {
      shown.textContent = say.looking;
      phonePlace(
        (at, near) => {
          const rough = near > ROUGH_M ? say.rough : say.near;
          take(at, filled(rough, { metres: figure(near, 0) }));
        },
        (why) => write(why),
      );
    };
    ways.push(button("", say.phone_here, here));
  }
  write("");
  const note = visit.placed ? [hint(say.phone_hint)] : [];
  const made = field(label, element("div", "picks", ...ways), shown, ...note);
  return ways.length ? made : field(label, hint(say.place_none));
}

/* Put something that is no lawn on the map: a tap, a drain, a wire. */
function placeForm(again) {
  const made = { feature: "", lonlat: null, facts: {} };
  const sorts = element("div", "");
  const kinds = visit.places.map((each) => [each.kind, each.label]);
  const choose = (kind) => {
    made.feature = kind ?? "";
    made.facts = made.facts.name ? { name: made.facts.name } : {};
    const { sort, words } = visit.places.find((each) => each.kind === kind) ?? { words: [] };
    const set = (value) => {
      made.facts[sort] = value;
    };
    const choices = words.map((each) => [each, each]);
    const which = choiceField(say.place_sort, choices, null, set, { short: true });
    sorts.replaceChildren(...(words.length ? [which] : []));
  };
  const set = (at) => {
    made.lonlat = at;
  };
  const add = () => {
    if (!made.feature || !made.lonlat) {
      tell(say.place_first);
      return;
    }
    const facts = Object.fromEntries(Object.entries(made.facts).filter(([, value]) => value));
    state.places.push({ id: madeUpId(), ...made, zone_id: "", facts: facts });
    keep();
    again();
  };
  const listed = state.places.map((place) =>
    doneLine([kindLabel(place), place.facts.name].filter(Boolean).join(": "), () => {
      state.places.splice(state.places.indexOf(place), 1);
      keep();
      again();
    }),
  );
  return [
    element("h3", "", say.place_title),
    ...listed,
    choiceField(say.place_kind, kinds, null, choose, { short: true }),
    sorts,
    textField(say.place_name, "", (name) => {
      made.facts.name = name;
    }),
    placeField(() => made.lonlat, set, say.place_where),
    button("main", say.place_add, add),
  ];
}

function kindLabel(place) {
  return visit.places.find((each) => each.kind === place.feature)?.label ?? place.feature;
}

/* A line of what was done, with a way to take it back. */
function doneLine(text, away) {
  const gone = riskyButton(say.take_away, say.tap_again, away);
  return element("div", "card done", element("p", "", said(text)), gone);
}
