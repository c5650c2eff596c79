"""The page of one visit: where, what, what is in each load, what to look out for and write."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from lawnmap.exports.crew import care, work
from lawnmap.exports.crew.clear import kept_clear
from lawnmap.exports.crew.filling import filling
from lawnmap.exports.crew.job import Job
from lawnmap.exports.crew.visits import Visit
from lawnmap.exports.crew.written import written
from lawnmap.exports.parts.cells import box
from lawnmap.exports.parts.iron import gate_lists
from lawnmap.exports.wording.amounts import day, missing, span, text
from lawnmap.exports.wording.step_text import Step
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.pages.words import known, word


def day_page(job: Job, visit: Visit, number: int, count: int) -> Html:
    """Return the section of one visit, which begins a sheet of paper."""
    which = word("sheet.visit", number=number, count=count)
    steps = (*visit.steps, *visit.goes_on)
    parts = [
        tag("h2", day(visit.day), " ", tag("small", which)),
        _glance(job, visit),
        _before(job, steps),
        *_work(job, visit.steps, dated=True),
        _lines("title.goes_on", [_going_on(job, step) for step in visit.goes_on]),
        _lines("title.not_here", [_not_here(job, step) for step in visit.not_here]),
        _part("title.kept", kept_clear(job, steps)),
        _part("title.after", written(job.paper, steps, dated=True)),
    ]
    more = not visit.steps and len(job.zones) == 1  # one more evening needs no sheet of its own
    return tag("section", join(parts), class_="day" if more else "page day", data_day=visit.day)


def undated_page(job: Job, visit: Visit) -> Html:
    """Return the section of the steps that have no day, each with the reason."""
    parts = [
        tag("h2", word("title.no_day")),
        tag("p", word("sheet.no_day"), class_="note"),
        _before(job, visit.steps),
        *_work(job, visit.steps, dated=False),
        _part("title.kept", kept_clear(job, visit.steps)),
        _part("title.after", written(job.paper, visit.steps, dated=False)),
    ]
    return tag("section", join(parts), class_="page day", data_day="")


def hours(steps: Iterable[Step]) -> str:
    """Return the hours of one person for some steps; empty when nobody worked them out."""
    found = list(steps)
    most = [float(step.row["hours"]) for step in found if not missing(step.row.get("hours"))]
    if not most:
        return ""
    low = [
        float(step.row["hours" if missing(step.row.get("hours_low")) else "hours_low"])
        for step in found
        if not missing(step.row.get("hours"))
    ]
    return word("sheet.of_one", hours=span(math.fsum(low), math.fsum(most), "h"))


def _glance(job: Job, visit: Visit) -> Html:
    zones = join((tag("span", job.zone(each)) for each in visit.zones), " ")
    choices = job.paper.plan.specification.choices
    shown = [
        ("where", zones, "where"),
        ("order", _order(job, visit.order), "order"),
        ("work_hours", said(hours(visit.steps)), "hours"),
        ("keep_off", said(_keep_off(job, visit.steps)), "keep_off"),
        ("contact", said(text(choices.get("contact"))), "contact"),
    ]
    labels = {"keep_off": "front.keep_off", "contact": "front.contact"}
    lines = [
        tag("div", tag("dt", word(labels.get(key, f"sheet.{key}"))), tag("dd", value), class_=name)
        for key, value, name in shown
        if value and value != said("")
    ]
    return tag("dl", join(lines), class_="glance")


def _order(job: Job, order: Sequence[tuple[str, list[str]]]) -> Html:
    """Return the order of the work as a numbered list, each with its zones."""
    lines = [
        tag("li", known("operation", each), " ", join((job.pill(zone) for zone in zones), " "))
        for each, zones in order
    ]
    return tag("ol", join(lines)) if lines else Html()


def _keep_off(job: Job, steps: Iterable[Step]) -> str:
    """Return until when to keep off: what the steps say, else the choice for the site."""
    told = dict.fromkeys(text(step.row.get("keep_off")) for step in steps)
    lines = [each for each in told if each]
    return "; ".join(lines) or text(job.paper.plan.specification.choices.get("keep_off"))


def _before(job: Job, steps: Sequence[Step]) -> Html:
    """Return what is ticked before the work, and the cautions that belong to it."""
    ticks = join(tag("li", box(), each) for each in care.ready(steps))
    parts = [
        tag("h3", word("title.ready")),
        tag("ul", ticks, class_="ticks"),
        gate_lists(step.row for step in steps),
    ]
    cautions = care.of_work(job.paper, steps)
    if cautions:
        listed = join(tag("li", said(each)) for each in cautions)
        parts += [tag("h3", word("title.cautions")), tag("ul", listed, class_="cautions")]
    return join(parts)


def _work(job: Job, steps: Sequence[Step], *, dated: bool) -> list[Html]:
    if not steps:
        return []
    done = _part("title.day_work", work.table(job, steps, dated=dated))
    return [done, _part("title.loads", filling(job, steps))]


def _going_on(job: Job, step: Step) -> Html:
    return join([job.zone(step.zone_id), ": ", step.title, ", ", said(step.day)])


def _not_here(job: Job, step: Step) -> Html:
    reason = tag("strong", known("status", step.status), class_="badge stop")
    return join([job.zone(step.zone_id), ": ", step.title, " ", reason])


def _lines(title: str, lines: Sequence[Html]) -> Html:
    listed = tag("ul", join(tag("li", each) for each in lines), class_="also")
    return _part(title, listed if lines else Html())


def _part(title: str, body: Html) -> Html:
    return join([tag("h3", word(title)), body]) if body else Html()
