"""The notice at the gate: one sheet a zone, in large type, for whoever comes by."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

from lawnmap.exports.parts import expected, front
from lawnmap.exports.parts.cells import box, line
from lawnmap.exports.parts.dated_work import Work, closed, worked
from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.amounts import text
from lawnmap.exports.wording.iron_work import IRON
from lawnmap.exports.wording.rows import records, zone_rows
from lawnmap.exports.wording.sentences import sentence
from lawnmap.exports.wording.short_dates import between
from lawnmap.exports.wording.step_days import when
from lawnmap.exports.wording.translated import in_language
from lawnmap.pages.escape import Html, escape, join, said, tag
from lawnmap.pages.page import asset, filled, style
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper
from lawnmap.schema import BETWEEN, DO

TITLE = "notice for the gate, a sheet a zone, to print"
SUFFIX = ".html"
AUDIENCE = "public"
LANGUAGES = ("en", "de")

SHEETS = ("base.css", "looks.css", "papers/notice.css")
SIGNED = ("raking", "scarifying", *IRON, "overseeding")

Row = Mapping[str, Any]


def render(paper: Paper) -> bytes:
    """Return the page: a sheet for each zone with blades, iron or new seed on it.

    Parameters
    ----------
    paper : Paper
        Already cut down to its audience.

    Returns
    -------
    bytes
        UTF-8. The same paper gives the same bytes.
    """
    steps: dict[str, list[Row]] = defaultdict(list)
    for row in records(paper.plan.steps):
        if row.get("status") == DO and row["operation"] in SIGNED:
            steps[text(row["zone_id"])].append(row)
    dated: dict[str, list[Work]] = defaultdict(list)
    for each in worked(paper):
        dated[text(each.row["zone_id"])].append(each)
    sheets = []
    for zone_id, zone in zone_rows(paper.plan.zones):
        own = steps[zone_id]
        if own:
            closures = _closures(own, dated[zone_id])
            sheets.append(_sheet(paper, zone_text.name(zone, zone_id), own, closures))
    slots = {
        "title": escape(f"{word('notice.title')}: {front.title(paper)}"),
        "head": style(*map(asset, SHEETS)),
        "sheets": join(sheets) if sheets else tag("p", word("notice.none")),
    }
    return filled("papers/notice.html", slots, language=paper.language).encode("utf-8")


def _sheet(
    paper: Paper, name: str, steps: Sequence[Row], closures: Mapping[str, Sequence[str]]
) -> Html:
    shown = [
        tag("p", tag("strong", word("notice.title")), class_="keep"),
        tag("h1", said(name)),
        tag("p", said(front.title(paper)), class_="site"),
        _work(steps),
        _conditions(closures),
        _expected(steps, paper.units),
        tag("dl", join(_fields(paper)), class_="fields"),
        tag("p", _lift(closures), class_="lift"),
    ]
    return tag("section", join(each for each in shown if each), class_="notice")


def _work(steps: Sequence[Row]) -> Html:
    """Return when what is done: the product by name, since people ask."""
    rows = []
    for row in steps:
        product = text(row.get("product"))
        what = known("operation", text(row["operation"]))
        rows.append(
            tag(
                "li",
                tag("strong", what),
                f": {when(row) or word('notice.day_open')}",
                tag("small", said(product)) if product else "",
            )
        )
    return tag("ul", join(rows), class_="work")


def _closures(steps: Sequence[Row], work: Sequence[Work]) -> dict[str, list[str]]:
    """Return by condition each time that the ground is shut until then, as far as it is planned."""
    found: dict[str, list[str]] = defaultdict(list)
    for each in closed(work):
        days = between(each.first, each.last)
        planned = word("notice.shut" if each.first < each.last else "notice.shut_from", days=days)
        signed = [step.row for step in each.work if step.row["operation"] in SIGNED]
        for row in signed:
            _add(found, row, planned)
    for undated in steps:
        if not text(undated.get("day")):
            _add(found, undated, word("notice.day_open"))
    return found


def _add(found: dict[str, list[str]], row: Row, days: str) -> None:
    what = f"{known('operation', text(row['operation']))}: {days}"
    for until in filter(None, text(row.get("keep_off")).split(BETWEEN)):
        found[until].append(what)


def _conditions(closures: Mapping[str, Sequence[str]]) -> Html:
    """Return until when people keep off: a box for each time, with a place for name and time."""
    if not closures:
        return Html()
    parts = [tag("h2", word("notice.until"))]
    for until, times in closures.items():
        boxes = [
            tag("li", box(), said(each), " ",
                tag("span", word("notice.checked"), class_="checked"))
            for each in times
        ]  # fmt: skip
        parts += [tag("p", said(in_language(until)), class_="condition"), tag("ul", join(boxes))]
    return tag("div", join(parts), class_="closures")


def _lift(closures: Mapping[str, Sequence[str]]) -> str:
    """Return when the sign comes down: one that outlives a closure is covered until the next."""
    boxes = sum(map(len, closures.values()))
    return word(("notice.lift_work", "notice.lift", "notice.lift_each")[min(boxes, 2)])


def _expected(steps: Sequence[Row], units: str) -> Html:
    seen = expected.rules(text(row["operation"]) for row in steps)
    return tag("ul", join(tag("li", said(sentence(each, {}, units))) for each in seen))


def _fields(paper: Paper) -> list[Html]:
    contact = text(paper.plan.specification.choices.get("contact"))
    shown = said(contact) if contact else line()
    return [
        tag("div", tag("dt", word("front.contact")), tag("dd", shown)),
        tag("div", tag("dt", word("notice.put_up")), tag("dd", line())),
    ]
