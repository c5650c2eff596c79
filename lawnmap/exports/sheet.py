"""The job sheet: print-ready HTML without any script, a page a visit, for those who do the work."""

from __future__ import annotations

from collections.abc import Sequence

from lawnmap.exports.crew import care, work
from lawnmap.exports.crew.day import day_page, undated_page
from lawnmap.exports.crew.job import Job
from lawnmap.exports.crew.shelf import shelf
from lawnmap.exports.crew.visits import Visit, not_to_do, visits
from lawnmap.exports.crew.whole import whole
from lawnmap.exports.drawing import hatches
from lawnmap.exports.drawing.drawn import drawing
from lawnmap.exports.drawing.outline_svg import plan_svg
from lawnmap.exports.drawing.zone_names import called
from lawnmap.exports.parts import front
from lawnmap.exports.parts import iron as iron_html
from lawnmap.exports.parts.glance import glance
from lawnmap.exports.parts.kept import kept_table
from lawnmap.exports.parts.tables import totals_table
from lawnmap.pages.escape import Html, escape, join, said, tag
from lawnmap.pages.page import asset, filled, style
from lawnmap.pages.words import word
from lawnmap.paper import Paper
from lawnmap.schema import LEAVE

TITLE = "job sheet for the crew, a page a visit, to print"
SUFFIX = ".html"
AUDIENCE = "crew"

SHEETS = ("base.css", "looks.css", "paper.css", "papers/sheet.css")
TITLES = ("job", "totals", "plan")


def render(paper: Paper) -> bytes:
    """Return the page.

    Parameters
    ----------
    paper : Paper
        Already cut down to its audience; columns that are absent are not missed.

    Returns
    -------
    bytes
        UTF-8. The same paper gives the same bytes.
    """
    job, found = Job(paper), visits(paper.plan, paper.units)
    slots = {
        "title": escape(f"{word('sheet.title')}: {front.title(paper)}"),
        "head": style(*map(asset, SHEETS), front.running_head(paper)),
        "patterns": hatches.definitions(),
        "heading": front.heading(paper, word("sheet.title")),
        "glance": glance(paper),
        "cautions": _cautions(paper, found),
        "plan": _plan(paper),
        "job": whole(job, found),
        "totals": _totals(paper),
        "days": _days(job, found),
        "not_done": _not_done(job),
        "behind": _behind(paper),
        "notes": front.notes(paper),
    }
    slots |= {f"{name}_title": escape(word(f"title.{name}")) for name in TITLES}
    return filled("papers/sheet.html", slots).encode("utf-8")


def _cautions(paper: Paper, found: Sequence[Visit]) -> Html:
    """Return what to look at twice and the cautions of the whole job; the rest is on its day."""
    steps = [step for visit in found for step in visit.steps]
    lines = [tag("li", said(each), class_="warning") for each in paper.plan.warnings]
    lines += [tag("li", said(each)) for each in care.of_job(paper, steps)]
    if not lines:
        return Html()
    title, listed = tag("h2", word("title.cautions")), tag("ul", join(lines), class_="cautions")
    return tag("section", title, listed, class_="first")


def _plan(paper: Paper) -> Html:
    zones = paper.plan.zones
    verdicts = zones["verdict"] if "verdict" in zones.columns else [""] * len(zones)
    fills = ["url(#work-none)" if each == LEAVE else "#ffffff" for each in verdicts]
    return plan_svg(
        drawing(paper), fills, paper.units, placed=paper.plan.site.placed, called=called(paper)
    )


def _days(job: Job, found: Sequence[Visit]) -> Html:
    dated = [visit for visit in found if visit.day]
    pages = [
        day_page(job, visit, number, len(dated)) for number, visit in enumerate(dated, start=1)
    ]
    return join([*pages, *(undated_page(job, visit) for visit in found if not visit.day)])


def _not_done(job: Job) -> Html:
    steps = not_to_do(job.paper.plan, job.units)
    if not steps:
        return Html()
    title, note = tag("h2", word("title.not_done")), tag("p", word("sheet.not_done"), class_="note")
    return tag("section", title, note, work.not_done(job, steps), class_="page")


def _totals(paper: Paper) -> Html:
    """Return what to have ready; how to keep what is left stands on the shopping list too."""
    totals = paper.plan.totals.drop(columns="shelf", errors="ignore")
    return totals_table(totals, paper.units, paper.plan.specification.choices)


def _behind(paper: Paper) -> Html:
    """Return what is read before or after the job: the days told, the shelf, what was compared."""
    told = [tag("li", said(each)) for each in paper.plan.dates.told]
    days = [tag("section", tag("h2", word("title.days")), tag("ul", join(told)))] if told else []
    return join([*days, shelf(paper), kept_table(paper), iron_html.compared(paper)])
