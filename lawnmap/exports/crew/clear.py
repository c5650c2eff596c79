"""What the work of one day keeps clear of: a line a zone and kind of work, for the hand on site."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from lawnmap.exports.crew.job import Job
from lawnmap.exports.wording.amounts import missing, text
from lawnmap.exports.wording.legal_strips import LAYER
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.step_text import Step
from lawnmap.exports.wording.widths import clear
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.pages.words import known
from lawnmap.schema import NOT_SET

FEED = "feeding"  # its strips are apart from those of iron that is spread dry

Row = Mapping[str, Any]


def kept_clear(job: Job, found: Iterable[Step]) -> Html:
    """Return the list; empty when these steps keep clear of nothing."""
    if not job.set_out:
        return Html()
    work = dict.fromkeys((step.zone_id, _kind(step)) for step in found)
    order = {each: place for place, each in enumerate(work)}
    grouped: dict[tuple[str, ...], list[Row]] = {}
    for row in records(job.paper.plan.layers[LAYER].drop(columns="geometry")):
        cells = tuple(text(row.get(name)) for name in ("zone_id", "kind", "strip", "instead"))
        if cells[:2] in order and cells[3] != NOT_SET:
            grouped.setdefault(cells, []).append(row)
    keys = sorted(grouped, key=lambda cells: order[cells[0], cells[1]])
    lines = [_line(job, cells, grouped[cells]) for cells in keys]
    return tag("ul", join(lines), class_="also") if lines else Html()


def _line(job: Job, cells: tuple[str, ...], rows: Iterable[Row]) -> Html:
    zone_id, kind, strip, instead = cells
    of = join((said(each) for each in dict.fromkeys(_of(row, job.units) for row in rows)), ", ")
    sort = tag("small", "(", known("strip", strip), ")") if strip else ""
    parts = [job.zone(zone_id), ", ", known("kind", kind), ": ", of, " ", sort, ": ",
             tag("strong", known("instead", instead))]  # fmt: skip
    return tag("li", join(parts))


def _of(row: Row, units: str) -> str:
    """Return one thing and how wide; in other units beside it, never a hair less."""
    if missing(row.get("width_m")):
        return text(row.get("because"))
    return f"{text(row.get('because'))} {clear(float(row['width_m']), units)}"


def _kind(step: Step) -> str:
    return FEED if step.operation == FEED else text(step.row.get("kind"))
