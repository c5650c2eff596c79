"""The whole job on its first page: its days, or for one lawn its order from the first cut on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from lawnmap.exports.crew.job import Job
from lawnmap.exports.crew.visits import Visit, left_alone
from lawnmap.exports.parts.cells import box, head
from lawnmap.exports.wording.amounts import day, text
from lawnmap.exports.wording.load_text import loads
from lawnmap.exports.wording.step_text import Step
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.pages.words import known, word


def whole(job: Job, found: Sequence[Visit]) -> Html:
    """Return the job: one lawn as a list from step to step, several as a table of days."""
    steps = [step for visit in found for step in visit.steps]
    if not steps:
        listed = tag("p", word("table.no_steps"), class_="note")
    elif len({step.zone_id for step in steps}) == 1:
        listed = tag("ol", join(_step(job, step) for step in steps), class_="job")
    else:
        listed = _table(job, found)
    note = tag("p", word("days.note"), class_="note") if steps else ""
    return join([listed, note, _left(job)])


def _table(job: Job, found: Sequence[Visit]) -> Html:
    """Return one row a visit: its work in order, each with the numbers of its zones."""
    rows = []
    for visit in found:
        lines = [_line(job, known("operation", each), zones) for each, zones in visit.order]
        if visit.goes_on:
            on = dict.fromkeys(step.zone_id for step in visit.goes_on)
            lines.append(_line(job, word("title.goes_on"), on))
        shown = day(visit.day) or word("title.no_day")
        rows.append(tag("tr", tag("th", shown, scope="row"), tag("td", join(lines, ". "))))
    columns = head((word(f"days.{each}"), "") for each in ("day", "work"))
    return tag("table", columns, tag("tbody", join(rows)), class_="days")


def _line(job: Job, what: str, zones: Iterable[str]) -> Html:
    return join([what, " ", join((job.pill(each) for each in zones), " ")])


def _step(job: Job, step: Step) -> Html:
    """Return a step as an owner works by it: when, how much, in which cans, after which wait."""
    when = step.day or text(step.row.get("day_why")) or word("title.no_day")
    facts = " · ".join(part for part in (step.means, step.amounts, step.area, step.hours) if part)
    cans = [
        said(line)
        for load in loads(job.loads([step]), job.units)
        for line in (load.full, load.last)
        if line
    ]
    lines = [said(facts)] if facts else []
    how = "; ".join(part for part in (step.wait, step.remark) if part)
    lines += [*cans, *([said(how)] if how else [])]
    if step.flag:
        lines.append(tag("strong", said(step.flag), class_="flag"))
    title = join([box(), tag("strong", step.title), ": ", said(when)])
    return tag("li", tag("p", title), join(tag("p", line) for line in lines))


def _left(job: Job) -> Html:
    """Return the zones that nobody touches."""
    zones = [
        join([job.zone(step.zone_id), ": ", step.title, ". ", said(step.remark)])
        for step in left_alone(job.paper.plan, job.units)
    ]
    if not zones:
        return Html()
    listed = tag("ul", join(tag("li", each) for each in zones), class_="also")
    return join([tag("h3", word("title.left_alone")), listed])
