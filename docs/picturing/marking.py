"""The page of ``lawnmap mark``: an empty site, drawing, rating, and a cut along the shade."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from lawnmap.jobs.mark import Marking
from lawnmap.jobs.outlook import Depot
from lawnmap.jobs.start import start
from lawnmap.store.draft import held
from lawnmap.store.folder import Folder
from lawnmap.web.desk import Desk, assets
from lawnmap.web.server import Server
from picturing.sample import FOLDER, TODAY, Sample, room
from picturing.sample import assets as page_files
from picturing.studio import PHONE, WIDE, Studio, settle, shot

PLACE = """async (at) => {
  const { chart } = await import("/mark/map.js");
  const box = chart.map.getContainer().getBoundingClientRect();
  const { x, y } = chart.pixel(at);
  return [box.left + x, box.top + y];
}"""
LOOK = """async ([lon, lat, zoom]) =>
  (await import("/mark/map.js")).chart.map.setView([lat, lon], zoom, { animate: false })"""
CHOOSE = """async (key) => {
  (await import("/mark/state.js")).choose([key]);
  (await import("/mark/map.js")).fitKeys([key]);
}"""
# A line through the lawn under the oak, from edge to edge, as the shade of its crown ends.
SHADE = [(1.89958, 53.40026), (1.89970, 53.40025), (1.89980, 53.40029), (1.89984, 53.400382)]


@contextlib.contextmanager
def _served(folder: Path) -> Iterator[str]:
    """Serve a site as the command does, and give the address."""
    site = Folder(folder)
    with held(site) as draft:
        desk = Desk(Marking(site, draft), Depot(None, folder, TODAY))
        server = Server(assets(), desk.looks(), desk.writes())
        thread = threading.Thread(target=server.serve)
        thread.start()
        try:
            yield server.address
        finally:
            server.shutdown()
            thread.join()


def _click(page: Any, *places: tuple[float, float]) -> None:
    for place in places:
        x, y = page.evaluate(PLACE, list(place))
        page.mouse.move(x, y, steps=2)
        page.mouse.click(x, y)
        settle(page)


def _button(page: Any, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def _draw(page: Any) -> None:
    """Begin a lawn north of the banks: three corners, and the fourth under the mouse."""
    page.evaluate(LOOK, [1.9003, 53.40045, 20])
    _button(page, "Draw")
    lon, lat = 1.90022, 53.40056
    _click(page, (lon, lat), (lon + 15e-5, lat + 1e-5), (lon + 17e-5, lat + 9e-5))
    x, y = page.evaluate(PLACE, [lon + 2e-5, lat + 8e-5])
    page.mouse.move(x, y, steps=2)


def _rate(page: Any) -> None:
    _button(page, "Rate")


def _chosen(page: Any) -> None:
    page.evaluate(CHOOSE, "under-oak")


def _cut(page: Any) -> None:
    """Lead a cut through the lawn under the oak: the line is drawn, and not ended yet."""
    page.evaluate(CHOOSE, "under-oak")
    settle(page)
    _button(page, "Cut")
    settle(page)
    _click(page, *SHADE[:-1])
    x, y = page.evaluate(PLACE, list(SHADE[-1]))
    page.mouse.move(x, y, steps=2)


SHOTS: dict[str, tuple[str, tuple[int, int], Callable[[Any], None]]] = {
    "mark_empty": ("empty", WIDE, lambda page: page),
    "mark_draw": ("garden", WIDE, _draw),
    "mark_rate": ("garden", WIDE, _rate),
    "mark_zone": ("garden", WIDE, _chosen),
    "mark_cut": ("garden", WIDE, _cut),
    "mark_phone": ("garden", PHONE, _chosen),
}
NAMES = tuple(SHOTS)


def shows(_: Sample) -> dict[str, list[str]]:
    """Return what the pictures rest on: scripts and styles of the page, and the site on it."""
    site = (FOLDER / "site.geojson").read_text(encoding="utf-8")
    files = [*room("mark", ".html", ".js", ".css"), *page_files("base.css")]
    made_of = [*files, site]
    return dict.fromkeys(NAMES, made_of)


def take(studio: Studio, sample: Sample, folder: Path) -> Iterator[tuple[str, bytes]]:
    """Take every picture of the page, each of a site of its own that nobody has touched."""
    for name, (what, window, before) in SHOTS.items():
        home = folder / name
        if what == "empty":
            start(home, title="Back garden", timezone="Europe/London")
        else:
            home.mkdir()
            home = sample.copied(home)
        with _served(home) as address, studio.window(window) as page:
            page.goto(address)
            page.wait_for_selector("html[data-ready]")
            settle(page)
            before(page)
            yield name, shot(page)
