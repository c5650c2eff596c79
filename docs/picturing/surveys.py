"""Two surveys of the garden of surveys.md: the chart, and the map's view of before and after."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from how_to import lay_out, runs

from lawnmap.exports.map.page import SCRIPTS, SHEETS
from picturing.commands import run
from picturing.sample import DOCS, Sample, assets, sources
from picturing.studio import WIDE, Studio, shot

PAGE = DOCS / "surveys.md"
NAMES = ("survey_chart", "before_after")
MADE_BY = ("exports/survey_chart.py", "exports/map/before.py")
CHART = (760, 560)


def shows(_: Sample) -> dict[str, list[str]]:
    """Return what the pictures rest on: the page's own commands, and what draws their results."""
    typed = [each.command for each in runs(PAGE.read_text(encoding="utf-8"))]
    chart, before = sources(*MADE_BY)
    page = assets(*SCRIPTS, *SHEETS, "map/map.html")
    return {"survey_chart": [*typed, chart], "before_after": [*typed, before, *page]}


def take(studio: Studio, _: Sample, folder: Path) -> Iterator[tuple[str, bytes]]:
    """Run the page, and look at what it made."""
    text = PAGE.read_text(encoding="utf-8")
    lay_out(text, folder)
    run(folder, *(each.command for each in runs(text)))
    run(folder, "lawnmap export garden --to map -o map.html --today 2026-10-12")
    with studio.opened(folder / "season.svg", CHART) as page:
        yield "survey_chart", shot(page, "svg")
    with studio.opened(folder / "map.html", WIDE, part="#before") as page:
        yield "before_after", shot(page)
