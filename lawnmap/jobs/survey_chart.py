"""The chart behind ``compare --chart``: moss and thatch over all surveys of a site."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from lawnmap.errors import InputRefused, SiteDamaged, UsageProblem
from lawnmap.exports.survey_chart import chart_svg
from lawnmap.files.alone import put
from lawnmap.processing.surveying.survey_course import Dated, course
from lawnmap.store import site as site_store
from lawnmap.store import surveys
from lawnmap.store.folder import find
from lawnmap.store.surveys import Survey

SUFFIX = ".svg"
NOW = "now"


def admit(path: Path) -> None:
    """Refuse a name that is not one of an SVG file, before any work is done.

    Raises
    ------
    UsageProblem
        When the name does not end in .svg.
    """
    if path.suffix.lower() != SUFFIX:
        raise UsageProblem(
            "a chart is an SVG file",
            file=path.name,
            done="Nothing was changed.",
            remedy="End its name in .svg.",
        )


def draw(path: Path, target: Path, *, later: str, today: dt.date, force: bool) -> tuple[str, ...]:
    """Draw the closed surveys of a site, and the site as it stands when it says something else.

    Parameters
    ----------
    path : Path
        A site folder.
    target : Path
        The file to write.
    later : str
        Name of the last survey to draw, or ``now``.
    today : date
        The day of the site as it stands.
    force : bool
        Whether a file that is there is replaced.

    Returns
    -------
    tuple of str
        Warnings.

    Raises
    ------
    InputRefused
        When no survey has looked at moss or thatch.
    UsageProblem, WriteFailed
        When the file is there already, or the disk does not take it.
    """
    folder = find(path)
    there = surveys.listed(folder)
    if later != NOW:
        last = surveys.named(folder, later)
        there = [each for each in there if (each.day, each.number) <= (last.day, last.number)]
    dated, warnings = _read(there)
    if later == NOW:
        site = site_store.load(folder)
        if not dated or dated[-1].site.document["features"] != site.document["features"]:
            dated.append(Dated(NOW, max([today, *(each.day for each in dated)]), site))
    table = course(dated)
    if table.empty:
        raise InputRefused(
            "no survey has looked at moss or thatch",
            file=folder.name,
            remedy="Rate them, count moss on points, or take cores.",
        )
    title = str(dated[-1].site.header.get("title") or folder.name)
    written = put(target, chart_svg(table, title=title).encode("utf-8"), force=force)
    return (*warnings, *written)


def _read(there: list[Survey]) -> tuple[list[Dated], list[str]]:
    """Return the surveys, the first one first, and which of them cannot be read."""
    dated, warnings = [], []
    for each in reversed(there):
        try:
            dated.append(Dated(each.name, each.day, each.read()))
        except (InputRefused, SiteDamaged) as error:
            warnings.append(f"The survey {each.name} is left out of the chart: {error.problem}.")
    return dated, warnings
