"""How soon the map opens and how large it is, side by side with plain folium in the same run.

Run from a checkout: ``python docs/benchmarks/map.py CHROMIUM [ZONES ...]``, the browser's path and
30, 1,000 and 10,000 zones by default. The plans are of invented lawns in the open sea, worked out
by the package, with days laid on them by hand; ten thousand zones are the plan of a thousand laid
down ten times, each time of another size. Plain folium gets the same zones as ``GeoJson`` with
tooltip and popup of six columns, and Leaflet from a file beside it. Both are opened from disk in
turn, each time in a fresh context, and a page is open when a frame with all its zones was shown.
"""

from __future__ import annotations

import datetime as dt
import math
import random
import re
import statistics
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import folium
import geopandas as gpd
import pandas as pd
from playwright.sync_api import Browser, sync_playwright

from lawnmap.days import Dates
from lawnmap.jobs.calendar import calendar
from lawnmap.jobs.choices import choices
from lawnmap.jobs.export import render
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan
from lawnmap.model import FORMAT, Plan, Site
from lawnmap.pages import leaflet
from lawnmap.schema import DO
from lawnmap.store.folder import Folder
from lawnmap.store.site import create

SIZES = (30, 1_000, 10_000)
MOST = 1_000  # zones planned at once; more are laid down again beside them
ROUNDS = {30: 9, 1_000: 9}
FEW = 5  # rounds of a size that takes long
TODAY = dt.date(2026, 9, 5)
FIRST = dt.date(2026, 9, 14)
STEP_M, DEGREE_M = 22.0, 111_320.0
EAST, SOUTH = 3.0, 55.0  # open sea
COLUMNS = ("name", "moss_class", "thatch_class", "ground_area_m2", "verdict", "public_note")
SAMPLE = Path(__file__).parents[2] / "sample_geo" / "site"
OPENED = """
window.opened = 0;
(function look() {
  requestAnimationFrame(function () {
    const painted = document.querySelector(".leaflet-zones-pane canvas");
    const drawn = document.querySelectorAll(".leaflet-overlay-pane path").length >= ZONES;
    if (painted || drawn) {
      requestAnimationFrame(() => (window.opened = performance.now()));
    } else {
      look();
    }
  });
})();
"""
MOVED = """async () => {
  const maps = Object.entries(window).filter(([name]) => /^map_/.test(name));
  const map = maps.map(([, each]) => each).find((each) => each.fitBounds);
  const frame = () => new Promise((done) => requestAnimationFrame(done));
  const times = [];
  map.setZoom(map.getZoom() + 1, { animate: false });
  for (let step = 0; step < 15; step += 1) {
    await frame();
    const began = performance.now();
    map.panBy([40, step % 2 ? 25 : -25], { animate: false });
    await frame();
    times.push(performance.now() - began);
  }
  return times.sort((one, other) => one - other)[7];
}"""


def lawns(many: int) -> Iterator[dict[str, Any]]:
    """Return zones of 5 to 40 corners, most with ratings, in rows."""
    chance = random.Random(7)  # noqa: S311 - invented lawns, no secret
    row = math.ceil(math.sqrt(many * 1.4))
    wide = DEGREE_M * math.cos(math.radians(SOUTH))
    for place in range(many):
        corners, size = chance.randint(5, 40), chance.uniform(4.5, 8.5)
        turns = [each + chance.uniform(-0.3, 0.3) for each in range(corners)]
        angles = sorted(2 * math.pi * turn / corners for turn in turns)
        middle = (place % row * STEP_M, place // row * STEP_M)
        ring = []
        for angle in angles:
            far = size * chance.uniform(0.8, 1.15)
            x, y = middle[0] + far * math.cos(angle), middle[1] + far * math.sin(angle)
            ring.append([EAST + x / wide, SOUTH + y / DEGREE_M])
        facts = {
            "moss_rating": chance.choice([0, 1, 1, 2, 2, 2, 3, 3, 4, 5]),
            "thatch_rating": chance.choice([0, 1, 1, 2, 2, 3, 4]),
            "sun_hours_seen": round(chance.uniform(1, 9) * 2) / 2,
            "drainage": chance.choice(["free", "slow", "stands wet", None]),
            "public_note": chance.choice([None] * 6 + [f"Ask at number {place + 1} first."]),
        }
        kind = chance.choice(["Court", "Verge", "Bank", "Lawn", "Green", "Strip"])
        named = {"feature": "zone", "zone_id": f"z{place + 1:05d}", "name": f"{kind} {place + 1}"}
        yield {
            "type": "Feature",
            "properties": named | {key: fact for key, fact in facts.items() if fact is not None},
            "geometry": {"type": "Polygon", "coordinates": [[*ring, ring[0]]]},
        }


def planned(many: int, path: Path) -> Plan:
    """Return the plan of an invented site, its steps on days three apart."""
    header = {"format": FORMAT, "title": f"{many} invented lawns", "placed": True}
    document = {"type": "FeatureCollection", "lawnmap": header, "features": list(lawns(many))}
    create(Folder(path), Site(document))
    (path / "products.toml").write_bytes((SAMPLE / "products.toml").read_bytes())
    chosen = (SAMPLE / "specification.toml").read_text(encoding="utf-8").split("[zones.")[0]
    chosen = re.sub(r"^first_day = .*\n", "", chosen, flags=re.MULTILINE)
    (path / "specification.toml").write_text(chosen, encoding="utf-8")
    opened = open_site(path)
    specification = choices(opened, depot=None, personal=path / "none", today=TODAY)
    made = plan(opened.site, specification, calendar(opened), today=TODAY)
    return dated(made)


def dated(made: Plan) -> Plan:
    """Return a plan with a day for each step: forty zones a day, the next step three days on."""
    steps = made.steps
    zones = {zone_id: place for place, zone_id in enumerate(dict.fromkeys(steps["zone_id"]))}
    count = steps.groupby("zone_id").cumcount()
    days = [
        (FIRST + dt.timedelta(zones[zone_id] // 40 % 60 + 3 * place)).isoformat()
        if status == DO
        else ""
        for zone_id, place, status in zip(steps["zone_id"], count, steps["status"], strict=True)
    ]
    visits = tuple(sorted({dt.date.fromisoformat(each) for each in days if each}))
    return replace(made, steps=steps.assign(day=days), dates=Dates(visits=visits))


def tiled(made: Plan, times: int) -> Plan:
    """Return a plan laid down several times side by side, each time of another size."""
    west, south, east, north = made.zones.total_bounds
    wide, high = (east - west) * 1.02, (north - south) * 1.02

    def zones(turn: int) -> gpd.GeoDataFrame:
        moved = made.zones.translate(turn % 4 * wide, turn // 4 * high)
        found = made.zones.set_geometry(moved)
        found.index = [f"{turn}{each}" for each in found.index]
        sizes = [name for name in found.columns if name.endswith("area_m2")]
        found[sizes] = found[sizes].apply(pd.to_numeric, errors="coerce") * (1 + turn * 0.013)
        return found.assign(name=[f"{name} {turn}" for name in found["name"]])

    def steps(turn: int) -> pd.DataFrame:
        found = made.steps.assign(zone_id=[f"{turn}{each}" for each in made.steps["zone_id"]])
        sizes = [name for name in ("amount_low", "amount", "area_m2", "water_l") if name in found]
        found[sizes] = found[sizes].apply(pd.to_numeric, errors="coerce") * (1 + turn * 0.013)
        return found

    every = pd.concat([zones(turn) for turn in range(times)])
    every.index.name = made.zones.index.name
    work = pd.concat([steps(turn) for turn in range(times)], ignore_index=True)
    return replace(made, zones=gpd.GeoDataFrame(every, crs=made.zones.crs), steps=work)


def plain(made: Plan) -> str:
    """Return the zones as plain folium draws them, Leaflet from a file beside the page."""
    columns = [each for each in COLUMNS if each in made.zones.columns]
    shown = made.zones[[*columns, "geometry"]].copy()
    shown[columns] = shown[columns].astype(object).where(shown[columns].notna(), "").astype(str)
    drawn = folium.Map(tiles=None)
    folium.GeoJson(
        shown, tooltip=folium.GeoJsonTooltip(columns), popup=folium.GeoJsonPopup(columns)
    ).add_to(drawn)
    west, south, east, north = shown.total_bounds
    drawn.fit_bounds([[south, west], [north, east]])
    page = drawn.get_root().render()
    page = re.sub(r'<script src="[^"]*"></script>|<link rel="stylesheet" href="[^"]*"/>', "", page)
    local = '<link rel="stylesheet" href="leaflet.css"><script src="leaflet.js"></script>'
    return page.replace("<head>", f"<head>{local}", 1)


def pages(many: int, folder: Path) -> tuple[Path, Path]:
    """Write both pages of so many zones and return where."""
    with tempfile.TemporaryDirectory() as site:
        made = planned(min(many, MOST), Path(site) / "site")
    if many > MOST:
        made = tiled(made, many // MOST)
    ours, other = folder / f"ours{many}.html", folder / f"folium{many}.html"
    ours.write_bytes(render(made, "map").data)
    other.write_text(plain(made), encoding="utf-8")
    (folder / "leaflet.js").write_text(leaflet.script(), encoding="utf-8")
    (folder / "leaflet.css").write_text(leaflet.style(), encoding="utf-8")
    return ours, other


def opened(browser: Browser, path: Path, many: int) -> tuple[float, float]:
    """Return after how long a page showed all its zones, and how long a step of a pan took [ms]."""
    context = browser.new_context(offline=True, viewport={"width": 1280, "height": 800})
    page = context.new_page()
    page.add_init_script(OPENED.replace("ZONES", str(many)))
    page.goto(path.as_uri(), timeout=180_000)
    page.wait_for_function("window.opened > 0", timeout=180_000)
    page.wait_for_timeout(500)
    found = page.evaluate("window.opened"), page.evaluate(MOVED)
    context.close()
    return found


def main(chromium: str, sizes: list[int]) -> None:
    """Print a line a size."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        browser = driver.chromium.launch(
            executable_path=chromium, args=["--no-sandbox", "--allow-file-access-from-files"]
        )
        for many in sizes:
            both = pages(many, Path(folder))
            times = [[opened(browser, x, many) for x in both] for _ in range(ROUNDS.get(many, FEW))]
            ours, other = zip(*times, strict=True)
            (ours_ms, ours_pan), (other_ms, other_pan) = (
                [statistics.median(each) for each in zip(*of, strict=True)] for of in (ours, other)
            )
            sizes_mb = [path.stat().st_size / 1e6 for path in both]
            print(
                f"{many:,} zones: opens in {ours_ms:.0f} ms, plain folium {other_ms:.0f} ms: "
                f"{other_ms / ours_ms:.2f} times as fast; a step of a pan {ours_pan:.0f} and "
                f"{other_pan:.0f} ms; {sizes_mb[0]:.2f} and {sizes_mb[1]:.2f} MB",
                flush=True,
            )
        browser.close()


if __name__ == "__main__":
    main(sys.argv[1], [int(each) for each in sys.argv[2:]] or list(SIZES))
