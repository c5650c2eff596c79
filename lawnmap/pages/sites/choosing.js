/* A region, depot or month, and how a site stands: what map and list show, and whose sums. */

function startChoosing(data, choose) {
  const show = document.querySelector('select[name="show"]');
  const stand = document.querySelector('select[name="state"]');
  const sums = [...document.querySelectorAll(".sums")];

  function chosen() {
    const [, by, key] = show.value.match(/^(\S+) (.*)$/s);
    sums.forEach((each) => (each.hidden = each.dataset.by !== by || each.dataset.key !== key));
    if (!data.sites) {
      return;
    }
    const state = stand && stand.value !== "" ? Number(stand.value) : null;
    if (by === "all" && state === null) {
      choose(null);
      return;
    }
    const { keys, months } = data.sites;
    const belongs = {
      all: () => true,
      month: (place) => months[place].includes(key),
      region: (place) => keys.region[place] === key,
      depot: (place) => keys.depot[place] === key,
    }[by];
    const places = data.sites.title.map((_, place) => place).filter(belongs);
    choose(new Set(places.filter((place) => state === null || data.sites.state[place] === state)));
  }

  [show, stand].forEach((each) => each?.addEventListener("change", chosen));
  chosen();
}
