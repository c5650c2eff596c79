"""The table of what goes into each tank, hopper and can for the work of one day."""

from __future__ import annotations

from collections.abc import Iterable

from lawnmap.exports.crew.job import Job
from lawnmap.exports.parts.cells import heads
from lawnmap.exports.wording.load_text import Load, loads
from lawnmap.exports.wording.step_text import Step
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.pages.words import word

WEIGHED = ("full_weigh", "last_weigh")


def filling(job: Job, found: Iterable[Step]) -> Html:
    """Return the table; empty when nothing is mixed or spread by these steps."""
    rows = job.loads(found)
    shown = loads(rows, job.units)
    if not shown:
        return Html()
    weighed = any(each in rows and rows[each].notna().any() for each in WEIGHED)
    weigh = tag("p", word("load.weigh_out" if weighed else "load.weigh"), class_="weigh")
    lines = [_row(job, load) for load in shown]
    columns = heads("table", ("number", "zone", "product", "each"))
    return join([weigh, tag("table", columns, tag("tbody", join(lines)), class_="loads")])


def _row(job: Job, load: Load) -> Html:
    what = join([tag("span", said(load.product), class_="called"), tag("small", load.operation)])
    lines = [tag("p", said(line)) for line in (load.full, load.last) if line]
    lines += [tag("small", load.mix)] if load.mix else []
    lines += [tag("p", said(load.flag), class_="flag")] if load.flag else []
    return tag(
        "tr",
        tag("td", job.pill(load.zone_id), class_="n"),
        tag("td", said(job.name(load.zone_id)), class_="name"),
        tag("td", what, tag("small", said(load.machine))),
        tag("td", join(lines), class_="load"),
    )
