"""The table of what is kept clear: for which work, how wide, who set it, what is done instead."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from lawnmap.exports.parts.cells import heads
from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.amounts import area, missing, text
from lawnmap.exports.wording.legal_strips import LAYER
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.widths import clear
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper
from lawnmap.schema import NOT_SET

COLUMNS = ("number", "zone", "keeps", "clear_of", "wide", "set_by", "area", "instead")

Row = Mapping[str, Any]


def kept_table(paper: Paper) -> Html:
    """Return the section; empty when nothing is kept clear."""
    layer = paper.plan.layers.get(LAYER)
    if layer is None or layer.empty:
        return Html()
    zones = zone_text.numbered(paper.plan.zones)
    found = records(layer.drop(columns="geometry"))
    kept = [row for row in found if row.get("instead") != NOT_SET]
    kept.sort(key=lambda row: zones.get(text(row.get("zone_id")), (len(zones), ""))[0])
    rows = [*_not_set(found), *(_row(each, zones, paper.units) for each in kept)]
    title, note = tag("h2", word("title.kept")), tag("p", word("kept.note"), class_="note")
    table = tag("table", heads("table", COLUMNS), tag("tbody", join(rows)), class_="kept")
    return tag("section", title, note, table)


def _not_set(rows: Sequence[Row]) -> Iterator[Html]:
    """Yield one row for each kind of work that nobody has set a strip for: it stops everywhere."""
    stopped = {
        (text(row.get("kind")), text(row.get("because"))): row
        for row in rows
        if row.get("instead") == NOT_SET
    }
    for (kind, because), row in stopped.items():
        cells = [
            tag("td", "–", class_="n"),
            tag("td", word("kept.everywhere"), class_="name"),
            tag("td", known("kind", kind)),
            tag("td", said(because)),
            tag("td", _sort(row)),
            tag("td", word("kept.nobody")),
            tag("td", word("kept.all")),
            tag("td", tag("strong", known("status", NOT_SET), class_="badge stop")),
        ]
        yield tag("tr", join(cells), class_="out")


def _row(row: Row, zones: Mapping[str, tuple[int, str]], units: str) -> Html:
    zone_id = text(row.get("zone_id"))
    number, name = zones.get(zone_id, (0, zone_id))
    wide = "" if missing(row.get("width_m")) else clear(float(row["width_m"]), units)
    cells = [
        tag("td", tag("span", number, class_="pill"), class_="n"),
        tag("td", said(name), class_="name"),
        tag("td", known("kind", text(row.get("kind")))),
        tag("td", said(text(row.get("because")))),
        tag("td", wide, " ", _sort(row)),
        tag("td", said(known("strip", text(row.get("set_by"))))),
        tag("td", area(float(row["area_m2"]), units=units), class_="area"),
        tag("td", known("instead", text(row.get("instead")))),
    ]
    return tag("tr", join(cells), class_="strip")


def _sort(row: Row) -> Html:
    return tag("small", known("strip", text(row.get("strip"))))
