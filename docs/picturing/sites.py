"""Many sites: a contractor's invented gardens on one map, with their totals."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from shapely.geometry import mapping, shape

from lawnmap.exports.sites.map import SCRIPTS, SHEETS
from picturing.commands import run
from picturing.sample import FOLDER, TODAY, Sample, assets, sources
from picturing.studio import WIDE, Studio, settle, shot

NAMES = ("sites_map", "sites_chosen")
MADE_BY = tuple(f"exports/sites/{each}.py" for each in ("block", "listing", "map", "sums"))
# Where each site lies beside the sample [°], and which of its zones, counted from 0, it has.
SITES: dict[str, tuple[float, float, slice]] = {
    "north/alder-court": (0.000, 0.000, slice(0, 12)),
    "north/ash-green": (0.031, 0.006, slice(0, 4)),
    "north/beech-house": (0.012, 0.021, slice(4, 7)),
    "north/birch-yard": (-0.027, 0.012, slice(0, 2)),
    "north/cherry-walk": (0.044, 0.024, slice(9, 12)),
    "north/elm-lodge": (-0.041, 0.026, slice(3, 5)),
    "south/hazel-row": (-0.012, -0.021, slice(4, 5)),
    "south/larch-bank": (0.024, -0.026, slice(7, 9)),
    "south/maple-court": (-0.038, -0.014, slice(9, 12)),
    "south/rowan-end": (0.051, -0.012, slice(0, 2)),
    "south/willow-side": (0.006, -0.035, slice(5, 7)),
    "south/yew-close": (-0.022, -0.037, slice(0, 0)),
}


def shows(_: Sample) -> dict[str, list[str]]:
    """Return what the pictures rest on: the map's scripts and styles, and what fills them."""
    site = (FOLDER / "site.geojson").read_text(encoding="utf-8")
    made_of = [site, *assets(*SCRIPTS, *SHEETS, "sites/map.html"), *sources(*MADE_BY)]
    return dict.fromkeys(NAMES, made_of)


def take(studio: Studio, _: Sample, folder: Path) -> Iterator[tuple[str, bytes]]:
    """Make the gardens, plan them all, and look at their map."""
    gardens = folder / "Invented gardens"
    for path, (east, north, which) in SITES.items():
        _make(gardens / path, east, north, which)
    depot = gardens / "north" / "alder-court"
    run(
        folder,
        f"lawnmap sites '{gardens}' -o october --depot '{depot}' --today {TODAY} --workers 1",
    )
    with studio.opened(folder / "october" / "map.html", WIDE) as page:
        yield "sites_map", shot(page)
        page.get_by_role("button", name="Larch bank").first.click()
        settle(page)
        yield "sites_chosen", shot(page)


def _make(home: Path, east: float, north: float, which: slice) -> None:
    """Write one garden: some zones of the sample with all that is mapped beside them, moved."""
    home.mkdir(parents=True)
    document = json.loads((FOLDER / "site.geojson").read_text(encoding="utf-8"))
    zones = [each for each in document["features"] if each["properties"]["feature"] == "zone"]
    rest = [each for each in document["features"] if each["properties"]["feature"] != "zone"]
    own = zones[which]
    ids = {each["properties"]["zone_id"] for each in own}
    kept = [each for each in rest if each["properties"].get("zone_id") in {None, *ids}]
    there = own + kept if own else []
    document["features"] = [_moved(each, east, north) for each in there]
    document["lawnmap"]["title"] = home.name.replace("-", " ").capitalize()
    (home / "site.geojson").write_text(json.dumps(document), encoding="utf-8")
    for name in ("specification.toml", "products.toml"):
        (home / name).write_bytes((FOLDER / name).read_bytes())
    if "under-oak" not in ids:
        text = (home / "specification.toml").read_text(encoding="utf-8")
        (home / "specification.toml").write_text(text.split("[zones.")[0], encoding="utf-8")


def _moved(feature: dict[str, Any], east: float, north: float) -> dict[str, Any]:
    by = np.array([east, north])
    moved = shapely.transform(shape(feature["geometry"]), lambda places: places + by)
    return {**feature, "geometry": mapping(moved)}
