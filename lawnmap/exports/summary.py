"""The client's summary: what happens to the lawn, when, and what it will look like."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from lawnmap.exports.drawing import hatches
from lawnmap.exports.drawing.drawn import drawing
from lawnmap.exports.drawing.outline_svg import plan_svg
from lawnmap.exports.parts import front, summary_text
from lawnmap.exports.parts.dated_work import Work, to_do, visits
from lawnmap.exports.parts.expected import expected
from lawnmap.exports.parts.shut import shut
from lawnmap.exports.wording.amounts import day, text
from lawnmap.exports.wording.iron_work import IRON
from lawnmap.exports.wording.listing import counted, doing, listed, opened
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.translated import in_language
from lawnmap.pages.escape import Html, escape, join, said, tag
from lawnmap.pages.page import asset, filled, style
from lawnmap.pages.words import word
from lawnmap.paper import Paper
from lawnmap.schema import DO

TITLE = "summary for the client: what happens, when, and what will be seen"
SUFFIX = ".html"
AUDIENCE = "client"
LANGUAGES = ("en", "de")

SHEETS = ("base.css", "looks.css", "paper.css", "papers/summary.css")
BLADES = {"raking", "scarifying", "aerating"}
SEED = {"overseeding"}


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
    drawn = drawing(paper)
    fills = ["#ffffff"] * len(drawn.zones)
    told = [tag("p", said(each)) for each in summary_text.sentences(paper)]
    parts = [
        ("days", _days(paper)),
        ("keep_off", _shut(paper)),
        ("seen", expected(paper)),
        ("asked", _asked(paper)),
        ("contact", _contact(paper)),
    ]
    slots = {
        "title": escape(f"{word('told.title')}: {front.title(paper)}"),
        "head": style(*map(asset, SHEETS), front.running_head(paper)),
        "patterns": hatches.definitions(),
        "heading": front.heading(paper, word("told.title")),
        "told": join(told),
        "plan": plan_svg(drawn, fills, paper.units, placed=paper.plan.site.placed),
        "parts": join(
            tag("section", tag("h2", word(f"told.{name}")), part) for name, part in parts if part
        ),
        "notes": tag("p", word("told.note"), class_="note"),
    }
    return filled("papers/summary.html", slots, language=paper.language).encode("utf-8")


def _days(paper: Paper) -> Html:
    """Return one row a visit: what is done that day, and where."""
    rows = []
    for on, _, work in visits(to_do(paper)):
        lines = [
            tag("div", opened(listed([doing(each) for each in done])), ": ", said(counted(zones)))
            for zones, done in _together(work)
        ]
        rows.append(tag("tr", tag("th", day(on), scope="row"), tag("td", join(lines))))
    return tag("table", tag("tbody", join(rows)), class_="visits") if rows else Html()


def _together(work: Iterable[Work]) -> list[tuple[list[str], list[str]]]:
    """Return zones with their numbers on the plan, and the operations that all of them have."""
    zones: dict[str, dict[str, None]] = defaultdict(dict)
    for each in work:
        known_as = word("told.zone", zone=each.zone, number=each.number)
        zones[text(each.row.get("operation"))][known_as] = None
    alike: dict[tuple[str, ...], list[str]] = defaultdict(list)
    for operation, found in zones.items():
        alike[tuple(found)].append(operation)
    return [(list(found), done) for found, done in alike.items()]


def _shut(paper: Paper) -> Html:
    """Return until when people keep off, and from when which ground that is."""
    items = []
    for until, lines in shut(paper).items():
        first = tag("p", tag("strong", said(in_language(until))))
        items.append(tag("li", first, tag("p", said("; ".join(lines)))))
    return tag("ul", join(items), class_="until") if items else Html()


def _asked(paper: Paper) -> Html:
    """Return what the client is asked to do, and to leave."""
    done = {text(row["operation"]) for row in records(paper.plan.steps) if row.get("status") == DO}
    asked = [tag("li", word(f"told.{key}")) for key in _asks(done)]
    return tag("ul", join(asked)) if asked else Html()


def _asks(done: set[str]) -> Iterator[str]:
    if done & BLADES:
        yield "ask_hidden"
    iron = done & set(IRON)
    if iron or done & SEED:
        yield "ask_off"
    if iron:
        yield "ask_stains"
    if done & SEED:
        yield "ask_water"
        yield "ask_mowing"
    if done:
        yield "ask_first"


def _contact(paper: Paper) -> Html:
    contact = text(paper.plan.specification.choices.get("contact"))
    return tag("p", said(contact), class_="ring") if contact else front.open_("front.contact_open")
