/* The panel of one site: how it stands, its figures, what is needed there, and its own map. */

function startPanel(data, panel, marked) {
  let opener = null;
  let shown = null;

  function close() {
    if (!panel.hidden) {
      panel.hidden = true;
      shown = null;
      marked(null);
      if (opener && opener.isConnected) {
        opener.focus();
      }
    }
  }

  function open(place) {
    if (panel.hidden) {
      opener = document.activeElement;
    }
    shown = place;
    const title = element("h2", "", said(data.sites.title[place]));
    title.id = "panel-title";
    title.tabIndex = -1;
    const shut = button("shut", "×", close);
    shut.setAttribute("aria-label", data.words.close);
    const state = data.states[data.sites.state[place]];
    const stands = element("p", "verdict", stateMark(state), " ", state.label);
    panel.replaceChildren(element("div", "bar", title, shut), stands, ...ownMap(data, place));
    panel.hidden = false;
    panel.scrollTop = 0;
    marked(place, panel.getBoundingClientRect());
    title.focus({ preventScroll: true });
    openParcel("details").then(
      (details) => shown === place && panel.append(...about(data, details[place])),
      () => shown === place && panel.append(element("p", "note", data.words.too_old)),
    );
  }

  document.addEventListener("keydown", (event) => event.key === "Escape" && close());
  return open;
}

/* A link to the map of the site, where that lies beside this page: a way there, no address. */
function ownMap(data, place) {
  const path = data.sites.beside[place];
  if (!path) {
    return [];
  }
  const link = element("a", "", data.words.open_map);
  link.href = `./${path}`;
  return [element("p", "own-map", link)];
}

function about({ words }, { facts, needs }) {
  const lines = facts.map(([label, text]) =>
    element("div", "", element("dt", "", label), element("dd", "", element("bdi", "", text))),
  );
  const rows = needs.map(([name, how, figures]) =>
    element(
      "tr", "", element("td", "", element("span", "called", said(name)), element("small", "", how)),
      element("td", "figure", figures),
    ),
  );
  return [
    element("dl", "lines", ...lines),
    element("h3", "", words.needed),
    rows.length
      ? element("table", "needed", element("tbody", "", ...rows))
      : element("p", "note", words.nothing_needed),
  ];
}
