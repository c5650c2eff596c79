"""The first screen: what a reader asks first, answered in the order in which it is asked."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from lawnmap.exports.parts import days
from lawnmap.exports.parts.considered import considered
from lawnmap.exports.parts.front import badge, open_
from lawnmap.exports.parts.shut import shut
from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.amounts import area, day, missing, number, text
from lawnmap.exports.wording.iron_work import IRON
from lawnmap.exports.wording.legal_strips import legal_strips, not_set
from lawnmap.exports.wording.listing import in_a_row
from lawnmap.exports.wording.rows import records, zone_rows
from lawnmap.exports.wording.zone_text import NO_STRIP
from lawnmap.pages.escape import Html, clean, join, said, tag
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper
from lawnmap.schema import DO, LEAVE, NO_WORK, UNRATED

KEPT_CLEAR = ("water", "drain")
HIDDEN = ("hidden",)
MOST_NAMES = 6
CREW = "crew"

Row = Mapping[str, Any]


def glance(paper: Paper) -> Html:
    """Return the answers to a reader's first questions; a crew agrees to nothing and files nothing.

    When what is closed, what goes on and may it, who applies it, why and what else, where water
    and drains are, what is hidden in the ground, whom to ring, what to agree and file.
    """
    rows = [
        _days(paper),
        ("keep_off", _keep_off(paper)),
        ("goes_on", _goes_on(paper)),
        ("applied_by", _choice(paper, "applied_by")),
        ("considered", considered(paper)),
        ("water", _water(paper)),
        ("hidden", _names(paper, HIDDEN) or _plain("front.none_hidden")),
        ("contact", _choice(paper, "contact")),
        ("file", _to_file(paper)),
    ]
    if paper.audience == CREW:
        rows = [row for row in rows if row[0] not in {"considered", "file"}]
        rows.append(("lawn", _lawn(paper)))
    return tag(
        "dl",
        join(
            tag("div", tag("dt", word(f"front.{key}")), tag("dd", shown), class_=key)
            for key, shown in rows
            if shown
        ),
        class_="glance",
    )


def _days(paper: Paper) -> tuple[str, Html]:
    worked = days.span(paper)
    if worked:
        return "days", said(worked)
    chosen = paper.plan.specification.choices.get("first_day")
    if not _planned(paper) or (chosen and text(chosen) < paper.plan.today.isoformat()):
        return "first_day", Html()
    return "first_day", said(day(chosen)) if chosen else open_("front.first_day_open")


def _planned(paper: Paper) -> bool:
    """Tell whether any work is still to be done; a first day says nothing without."""
    steps = records(paper.plan.steps)
    return any(
        row.get("status") == DO and text(row.get("operation")) not in NO_WORK for row in steps
    )


def _choice(paper: Paper, name: str) -> Html:
    chosen = text(paper.plan.specification.choices.get(name))
    return said(chosen) if chosen else open_(f"front.{name}_open")


def _keep_off(paper: Paper) -> Html:
    """Return until when which zones are closed, and what whoever gives the work says of it."""
    conditions = [
        join(
            [
                tag("span", said(until), class_="good"),
                *(tag("span", said(line), class_="shut") for line in lines),
            ]
        )
        for until, lines in shut(paper).items()
    ]
    if conditions and not text(paper.plan.specification.choices.get("keep_off")):
        return join(conditions)
    return join([*conditions, tag("span", _choice(paper, "keep_off"), class_="good")])


def _goes_on(paper: Paper) -> Html:
    """Return each product with what it is for and, against moss, whether its card allows it."""
    totals = paper.plan.totals
    if totals.empty or "product" not in totals.columns:
        return tag("span", word("front.nothing"))
    shown = {
        (text(row["product"]), text(row.get("status")) or DO): row
        for row in records(totals)
        if text(row["product"])
    }
    return join(
        tag(
            "span",
            said(product),
            " ",
            tag("small", known("operation", text(row.get("operation")))),
            " ",
            badge(status),
            _authorised(row),
            class_="good",
        )
        for (product, status), row in shown.items()
    )


def _authorised(row: Row) -> Html:
    """Return the authorisation on the card of what is used against moss, and until when."""
    if not set(text(row.get("operation")).split(", ")) & set(IRON):
        return Html()
    if "authorisation_no" not in row:
        return Html()
    if missing(row["authorisation_no"]):
        return tag(
            "span", tag("span", word("front.no_authorisation"), class_="open"), class_="note"
        )
    until = day(row.get("use_by"))
    parts = [word("front.authorisation", number=text(row["authorisation_no"]))]
    parts.append(word("front.use_by", day=until) if until else word("front.use_by_open"))
    return tag("span", said(" ".join(parts)), class_="note")


def _water(paper: Paper) -> Html:
    """Return the water and drains to keep clear of, and the strips along them."""
    names = _names(paper, KEPT_CLEAR)
    if not names:
        return _plain("front.none_mapped")
    return join([names, *_strips(paper)])


def _plain(key: str) -> Html:
    return tag("span", word(key), class_="plain")


def _names(paper: Paper, kinds: tuple[str, ...]) -> Html:
    """Return what is mapped of some kinds, by name; nothing when there is none."""
    features = paper.plan.site.features
    clear = features[features["feature"].isin(kinds)]
    names = [
        text(name) or known("feature", kind)
        for kind, name in zip(clear["feature"], clear["name"], strict=True)
    ]
    if not names:
        return join([])
    shown = said(in_a_row(names[:MOST_NAMES]))
    if len(names) > MOST_NAMES:
        shown = join([shown, " ", word("front.more", count=number(len(names) - MOST_NAMES))])
    return shown


def _strips(paper: Paper) -> Iterator[Html]:
    """Yield a line for water and one for drains; where none takes lawn, the widest of the site."""
    zones = paper.plan.zones
    if "water_strip_from" not in zones.columns:
        return
    if not_set(paper) or zones["water_strip_from"].map(text).str.startswith(NO_STRIP).any():
        yield join([" ", tag("strong", word("front.strip_open"), class_="badge stop")])
    apart = legal_strips(paper)
    for line in apart:
        yield tag("span", said(line.label), ": ", said(line.text), class_="note")
    if apart:
        return
    label = word("zone.water_strip")
    told = dict.fromkeys(
        line.text
        for _, row in zone_rows(zones)
        if not text(row.get("water_strip_from")).startswith(NO_STRIP)
        for line in zone_text.strips(row, paper.units)
        if line.label == label
    )
    for each in told:
        yield tag("span", said(word("front.strip", strip=each)), class_="note")


def _to_file(paper: Paper) -> Html:
    """Return how to agree: below where scripts run; on paper by reply, with a line to sign."""
    if not paper.issued:
        return tag("span", word("front.file_trial"))
    by_reply = word("front.file_reply", issue=clean(paper.issued))
    lines = [
        tag("span", word(key), " ", tag("span", class_="line"), class_="sign")
        for key in ("front.file_name", "front.file_date")
    ]
    return join(
        [
            tag("span", word("front.file_issued"), class_="live"),
            tag("span", said(by_reply), " ", join(lines, " "), class_="still"),
        ]
    )


def _lawn(paper: Paper) -> Html:
    zones = paper.plan.zones
    parts = [word("front.zone" if len(zones) == 1 else "front.zones", count=number(len(zones)))]
    if "ground_area_m2" in zones.columns and len(zones):
        total = float(zones["ground_area_m2"].fillna(0.0).sum())
        parts.append(area(total, units=paper.units))
    counted: tuple[tuple[str, str, Callable[[Any], bool]], ...] = (
        ("verdict", "left_alone", lambda cell: cell == LEAVE),
        ("verdict", "unrated", lambda cell: cell == UNRATED),
        ("looked_after_by", "others", lambda cell: not missing(cell)),
    )
    for column, key, holds in counted:
        count = sum(map(holds, zones[column])) if column in zones.columns else 0
        if count:
            parts.append(word(f"front.{key}", count=number(count)))
    return join(parts, ", ")
