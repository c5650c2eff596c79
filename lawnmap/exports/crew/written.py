"""What is written down on the day: lines to fill in, and what was used of each product."""

from __future__ import annotations

from collections.abc import Iterable

from lawnmap.exports.parts.cells import heads, line
from lawnmap.exports.wording.amounts import missing, quantity, text
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.step_text import Step
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.pages.words import starting, word
from lawnmap.paper import Paper

USED = ("product", "batch", "used", "water", "area")  # of each product: they stand in the table
BLANKS = ("used", "water_used", "treated", "batch")
CLEARED = ("waste",)
CLEARING = ("clearing", "aerating", "raking")


def written(paper: Paper, found: Iterable[Step], *, dated: bool) -> Html:
    """Return the lines to fill in for these steps, and a row for each product they put down."""
    found = list(found)
    cleared = any(step.operation in CLEARING for step in found)
    leave = {*USED, *(() if cleared else CLEARED), *(("date",) if dated else ())}
    lines = [
        tag("div", tag("dt", asked), tag("dd", line()))
        for key, asked in starting("after").items()
        if key not in leave
    ]
    return join([_used(paper, found), tag("dl", join(lines), class_="fields")])


def _used(paper: Paper, found: Iterable[Step]) -> Html:
    planned: dict[tuple[str, str], float] = {}
    for step in found:
        unit = text(step.row.get("unit"))
        if step.product and not missing(step.row.get("amount")):
            key = step.product, unit
            planned[key] = planned.get(key, 0.0) + float(step.row["amount"])
    if not planned:
        return Html()
    numbers = _authorisations(paper)
    rows = [
        tag(
            "tr",
            tag(
                "td",
                tag("span", said(product), class_="called"),
                tag("small", said(numbers[product])) if numbers.get(product) else "",
                class_="name",
            ),
            tag(
                "td",
                quantity(amount, unit, paper.units),
                class_="amount",
                data_label=word("table.planned"),
            ),
            *(tag("td", line(), data_label=word(f"table.{each}")) for each in BLANKS),
        )
        for (product, unit), amount in planned.items()
    ]
    columns = heads("table", ("product", "planned", *BLANKS))
    return tag("table", columns, tag("tbody", join(rows)), class_="used")


def _authorisations(paper: Paper) -> dict[str, str]:
    return {
        text(row.get("product")): text(row.get("authorisation_no"))
        for row in records(paper.plan.totals)
    }
