"""The visit page on paper: what its script asks, as figures to ring and lines to write on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lawnmap.exports.parts import front
from lawnmap.exports.visit.block import FIRST, RATED, asks_amount, column, ticked
from lawnmap.exports.wording.step_text import Step
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.pages.words import starting, word
from lawnmap.reference.tables import scales

SIDES = ("AB", "BC", "CD", "DA")
NOTE = "public_note"


def head() -> Html:
    """Return who and when, and what the figures of a rating stand for."""
    codes = [_codes(name, scale) for name, scale in RATED.items()]
    lines = [_line(word("visit.by")), _line(word("visit.work_date"))]
    return _on_paper(
        tag("p", word("paper.hint"), class_="hint"),
        _lines(lines),
        tag("h2", word("paper.codes")),
        tag("div", join(codes), class_="codes"),
    )


def of_zone(steps: list[Step]) -> Html:
    """Return the blanks of one zone: what is seen on it, and the work that is not on record."""
    work = [_work(step) for step in steps if ticked(step)]
    return _on_paper(_lines(_facts()), join(work))


def foot() -> Html:
    """Return the questions of a first visit, and blanks for a lawn that is not on the map."""
    asked = [text for key, text in starting("visit").items() if key.startswith("ask_")]
    lengths = [*(word("visit.side", side=side) for side in SIDES), word("visit.diagonal")]
    lawn = [
        _line(word("visit.sketch_name")),
        _line(word("visit.sketch_where")),
        *(_line(length, "m") for length in lengths),
    ]
    return _on_paper(
        tag("section", tag("h2", word("visit.answers_title")), _lines(map(_line, asked))),
        tag(
            "section",
            tag("h2", word("visit.sketch_title")),
            tag("p", word("visit.hint_four"), class_="hint"),
            _lines([*lawn, *_facts()]),
            tag("div", class_="space"),
        ),
    )


def _facts() -> list[Html]:
    """Return a blank for every fact that a phone asks first; the note has the whole width."""
    return [_fact(column(name)) for name in FIRST]


def _fact(asked: Mapping[str, Any]) -> Html:
    label, name = str(asked["label"]), str(asked["name"])
    if "choices" not in asked:
        return _line(label, str(asked["unit"]), wide=name == NOTE)
    choices = [tag("span", said(code), class_="pick") for code, _ in asked["choices"]]
    return tag("div", tag("span", label), " ", join(choices, " "))


def _work(step: Step) -> Html:
    amount = [_line(word("visit.work_amount"), str(step.row.get("unit") or ""))]
    lines = [
        _line(word("paper.done_on")),
        *(amount if asks_amount(step) else []),
        _line(word("visit.work_area"), "m²"),
        _line(word("visit.note")),
    ]
    title = tag("p", tag("strong", said(step.title)), " ", front.badge(step.status))
    return tag("div", title, _lines(lines), class_="job")


def _codes(name: str, scale: str) -> Html:
    rows = [
        tag("div", tag("dt", each.rating), tag("dd", said(each.word))) for each in scales()[scale]
    ]
    return tag("div", tag("strong", column(name)["label"]), tag("dl", join(rows)))


def _line(text: str, unit: str = "", *, wide: bool = False) -> Html:
    inside = (tag("span", text), tag("span", class_="line"), tag("span", unit) if unit else "")
    return tag("div", *inside, class_="wide") if wide else tag("div", *inside)


def _lines(lines: Any) -> Html:
    return tag("div", join(lines), class_="blanks")


def _on_paper(*inside: object) -> Html:
    return tag("div", *inside, class_="on-paper")
