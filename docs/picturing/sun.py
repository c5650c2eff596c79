"""Hours of sun: the points on the map, and what the command proposes."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from lawnmap.exports.map.page import SCRIPTS, SHEETS
from picturing.commands import run
from picturing.sample import FOLDER, Sample, assets, sources
from picturing.studio import WIDE, Studio, settle, shot

NAMES = ("sun_map",)
MADE_BY = ("exports/drawing/grid_image.py", "exports/drawing/layers.py", "light.py")


def shows(_: Sample) -> dict[str, list[str]]:
    """Return what the picture rests on: the map's scripts and styles, and how hours are drawn."""
    site = (FOLDER / "site.geojson").read_text(encoding="utf-8")
    made_of = [site, *assets(*SCRIPTS, *SHEETS, "map/map.html"), *sources(*MADE_BY)]
    return dict.fromkeys(NAMES, made_of)


def take(studio: Studio, sample: Sample, folder: Path) -> Iterator[tuple[str, bytes]]:
    """Work the hours out, and look at them on the map."""
    sample.copied(folder)
    run(
        folder,
        "lawnmap sun garden --today 2026-08-20",
        "lawnmap export garden --to map -o map.html --today 2026-08-20",
    )
    with studio.opened(folder / "map.html", WIDE, part="#condition/sun") as page:
        _points(page)
        yield "sun_map", shot(page)


def _points(page: Any) -> None:
    more = page.get_by_role("button", name="More to show on the map")
    more.click()
    page.get_by_label("Sun: hours a day under a clear sky").check()
    more.click()
    page.evaluate("document.activeElement.blur(); scrollTo(0, 0)")
    settle(page)
