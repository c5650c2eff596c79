"""The table of work: each zone with its steps, a box to tick, and the lines to walk."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lawnmap.exports.crew.job import Job
from lawnmap.exports.parts import front
from lawnmap.exports.parts.cells import box, heads
from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.amounts import text
from lawnmap.exports.wording.sentences import in_units
from lawnmap.exports.wording.step_text import Step
from lawnmap.exports.wording.why import reason
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.pages.words import word

COLUMNS = ("done", "step", "amount", "area", "how")
SEED = ("overseeding",)


def table(job: Job, found: Iterable[Step], *, dated: bool = True) -> Html:
    """Return the steps, zone by zone in the order given.

    Parameters
    ----------
    dated : bool
        Whether the day stands over the table already; otherwise each step says why it has none.
    """
    by_zone: dict[str, list[Step]] = {}
    for step in found:
        by_zone.setdefault(step.zone_id, []).append(step)
    bodies = [_body(job, zone_id, steps, dated=dated) for zone_id, steps in by_zone.items()]
    return tag("table", heads("table", COLUMNS), join(bodies), class_="work")


def not_done(job: Job, found: Iterable[Step]) -> Html:
    """Return steps that nobody may carry out from this sheet: no box, no rate."""
    rows = [
        tag(
            "tr",
            tag("td", job.zone(step.zone_id), _strips(job, step), class_="name"),
            tag("td", step.title, " ", front.badge(step.status), class_="title"),
            tag("td", said(_why(step, job.units)), " ", said(step.flag), class_="how"),
            class_="out",
        )
        for step in found
    ]
    return tag(
        "table",
        heads("table", ("zone", "step", "why")),
        tag("tbody", join(rows)),
        class_="not-done",
    )


def _strips(job: Job, step: Step) -> Html:
    """Return what the zone keeps clear of a product, which may be why it must not go on."""
    strips = zone_text.strips(job.zones.get(step.zone_id, {}), job.units) if step.product else ()
    facts = " · ".join(f"{fact.label}: {fact.text}" for fact in strips)
    return tag("small", said(facts)) if facts else Html()


def _why(step: Step, units: str) -> str:
    return step.day or step.remark or (reason(step.rule, step.row, units)[0] if step.rule else "")


def _body(job: Job, zone_id: str, steps: list[Step], *, dated: bool) -> Html:
    """Return a zone's rows; several steps stand under its name, a single one beside it."""
    facts = " · ".join(part for part in _facts(job, zone_id, steps) if part)
    of = join([job.zone(zone_id), " ", tag("small", said(facts)) if facts else ""])
    if len(steps) == 1:
        return tag("tbody", join(_rows(steps[0], job, of, dated=dated)))
    title = tag("th", of, colspan=len(COLUMNS), scope="rowgroup")
    lines = [line for step in steps for line in _rows(step, job, Html(), dated=dated)]
    return tag("tbody", tag("tr", title, class_="of"), join(lines))


def _facts(job: Job, zone_id: str, steps: list[Step]) -> Iterator[str]:
    row = job.zones.get(zone_id, {})
    yield zone_text.subtitle(row)
    if len(steps) > 1:
        yield zone_text.ground(row, job.units)
    if any(step.product for step in steps):
        for fact in zone_text.strips(row, job.units):
            yield f"{fact.label}: {fact.text}"
    if text(row.get("hidden")):
        yield f"{word('zone.hidden')}: {text(row['hidden'])}"


def _rows(step: Step, job: Job, of: Html, *, dated: bool) -> Iterator[Html]:
    yield _row(step, of, dated=dated)
    for each in job.bouts(step):
        yield tag("tr", tag("td"), tag("td", said(each), colspan=4), class_="bouts")
    if step.operation in SEED:
        asked = in_units(word("sheet.seed_rate"), job.units)
        yield tag("tr", tag("td"), tag("td", asked, colspan=4), class_="fill")


def _row(step: Step, of: Html, *, dated: bool) -> Html:
    several = text(step.row.get("day_last"))
    when = (step.day if several else "") if dated else text(step.row.get("day_why"))
    lead = tag("strong", said(f"{when}:"), class_="day") if when else ""
    how = "; ".join(part for part in (step.wait, step.remark) if part)
    extra = ", ".join(
        word(f"sheet.{key}", amount=amount)
        for key, amount in (("water", step.water), ("hours", step.hours))
        if amount
    )
    flag = tag("strong", said(step.flag), class_="flag") if step.flag else ""
    title = join([tag("p", of, class_="of") if of else "", tag("strong", step.title)])
    return tag(
        "tr",
        tag("td", box(), class_="done"),
        tag("td", title, tag("small", said(step.means)) if step.means else "", class_="title"),
        tag("td", step.amounts, tag("small", extra) if extra else "", class_="amount"),
        tag("td", step.area, class_="area"),
        tag("td", lead, " " if when else "", said(how), " ", flag, class_="how"),
    )
