"""How long after a corner moved the marking page shows the new area, with 1,000 zones on it.

Run from a checkout: ``python docs/benchmarks/marking.py CHROMIUM``, the browser's path. It makes
its own site, serves it as ``lawnmap mark`` does, opens it in a headless browser, drags a corner
that neighbours share by real mouse events, and times each move inside the page: from the pointer
event to the frame that shows the new figure.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import math
import statistics
import sys
import tempfile
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, sync_playwright

from lawnmap.jobs.mark import Marking
from lawnmap.jobs.outlook import Depot
from lawnmap.model import FORMAT, Site
from lawnmap.store.draft import held
from lawnmap.store.folder import Folder
from lawnmap.store.site import create
from lawnmap.web.desk import Desk, assets
from lawnmap.web.server import Server

ZONES = 1_000
CORNERS = 40  # of each zone
SIDE_M = 20.0
MOVES = 120
DEGREE_M = 111_320.0
SOUTH = 53.4

WATCH = """() => {
  const box = document.getElementById("measures");
  window.times = [];
  let moved = null;
  addEventListener("pointermove", () => (moved ??= performance.now()), { capture: true });
  new MutationObserver(function () {
    if (moved !== null) {
      const began = moved;
      moved = null;
      requestAnimationFrame(() => window.times.push(performance.now() - began));
    }
  }).observe(box, { childList: true, subtree: true, characterData: true });
}"""
WHERE = """async () => {
  const { chart, fitKeys } = await import("/mark/map.js");
  const { choose, state } = await import("/mark/state.js");
  choose(["z515"]);
  fitKeys(["z515"]);
  chart.map.setZoom(19);
  const corner = state.features.get("z515").geometry.coordinates[0][0];
  const box = chart.map.getContainer().getBoundingClientRect();
  const { x, y } = chart.pixel(corner);
  return [box.left + x, box.top + y];
}"""


def ring(east_m: float, north_m: float) -> list[list[float]]:
    """Return a closed square with corners along its sides."""
    a_side = CORNERS // 4
    steps = [each * SIDE_M / a_side for each in range(a_side)]
    square = [
        *((each, 0.0) for each in steps),
        *((SIDE_M, each) for each in steps),
        *((SIDE_M - each, SIDE_M) for each in steps),
        *((0.0, SIDE_M - each) for each in steps),
    ]
    wide = DEGREE_M * math.cos(math.radians(SOUTH))
    places = [[1.9 + (east_m + e) / wide, SOUTH + (north_m + n) / DEGREE_M] for e, n in square]
    return [*places, places[0]]


def zones() -> list[dict[str, Any]]:
    """Return zones side by side that share their corners."""
    row = math.ceil(math.sqrt(ZONES))
    return [
        {
            "type": "Feature",
            "properties": {
                "feature": "zone",
                "zone_id": f"z{n}",
                "name": f"Plot {n}",
                "outline_source": "drawn",
            },
            "geometry": {
                "type": "Polygon",
                "coordinates": [ring(n % row * SIDE_M, n // row * SIDE_M)],
            },
        }
        for n in range(ZONES)
    ]


@contextlib.contextmanager
def served(path: Path) -> Iterator[str]:
    """Serve a site of many zones and give its address."""
    folder = Folder(path)
    header = {"format": FORMAT, "title": "Many plots", "revision": 0}
    document = {"type": "FeatureCollection", "lawnmap": header, "features": zones()}
    create(folder, Site(document))
    with held(folder) as draft:
        desk = Desk(Marking(folder, draft), Depot(None, folder.path, dt.date(2027, 4, 12)))
        server = Server(assets(), desk.looks(), desk.writes())
        thread = threading.Thread(target=server.serve)
        thread.start()
        try:
            yield server.address
        finally:
            server.shutdown()
            thread.join(timeout=10)


def times(page: Page, address: str) -> list[float]:
    """Drag a corner and return how long each move took to show [ms]."""
    page.goto(address)
    page.wait_for_selector("html[data-ready]")
    x, y = page.evaluate(WHERE)
    page.wait_for_timeout(1_000)
    page.mouse.move(x, y)
    page.evaluate(WATCH)
    page.mouse.down()
    for step in range(MOVES):
        turn = step * 0.3
        page.mouse.move(x + 25 + 12 * math.cos(turn), y + 25 + 12 * math.sin(turn))
        page.wait_for_timeout(60)
    page.mouse.up()
    found: list[float] = page.evaluate("window.times")
    return found


def main(chromium: str) -> None:
    """Measure and print one line."""
    with (
        tempfile.TemporaryDirectory() as folder,
        served(Path(folder)) as address,
        sync_playwright() as driver,
    ):
        browser = driver.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        found = times(browser.new_page(viewport={"width": 1280, "height": 800}), address)
        browser.close()
    found.sort()
    print(
        f"{ZONES:,} zones of {CORNERS} corners, {len(found)} moves: "
        f"median {statistics.median(found):.0f} ms, "
        f"95 % within {found[int(len(found) * 0.95)]:.0f} ms, longest {found[-1]:.0f} ms"
    )


if __name__ == "__main__":
    main(sys.argv[1])
