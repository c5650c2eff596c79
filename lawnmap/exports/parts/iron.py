"""What the job sheet says of iron beside its rows: gates to tick, forms and programmes compared."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import pandas as pd

from lawnmap.exports.parts.cells import box, head
from lawnmap.exports.wording.amounts import day, missing, plain, quantity, text
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.sentences import sentence
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper
from lawnmap.schema import BETWEEN

OF_CARD = ("product", "machine", "form")


def gates(paper: Paper) -> Html:
    """Return what must hold on the day, once for each kind of work and product, to tick."""
    steps = paper.plan.steps
    if "gates" not in steps.columns:
        return Html()
    lists = gate_lists(records(steps))
    return _section("title.gates", lists) if lists else Html()


def gate_lists(rows: Iterable[Mapping[str, Any]]) -> Html:
    """Return lists to tick for some steps, once for each kind of work, product and gates."""
    found = {
        (text(row["operation"]), text(row.get("product")), text(row.get("gates"))): None
        for row in rows
        if text(row.get("gates"))
    }
    lists = []
    for operation, product, lines in found:
        title = join([known("operation", operation), ": ", said(product)] if product
                    else [known("operation", operation)])  # fmt: skip
        ticks = join(tag("li", box(), said(f"{each}.")) for each in lines.split(BETWEEN))
        lists.append(join([tag("h3", title), tag("ul", ticks, class_="ticks")]))
    return join(lists)


def compared(paper: Paper) -> Html:
    """Return the sections that lay forms of iron and programmes side by side, where there are."""
    tables = paper.plan.tables
    return join(
        [
            _forms(tables.get("iron_forms", pd.DataFrame()), paper.units),
            _programmes(tables.get("programmes", pd.DataFrame()), paper.units),
        ]
    )


def _forms(found: pd.DataFrame, units: str) -> Html:
    if found.empty:
        return Html()
    top = _head("iron_form", "product", "with", "amount", "hours", "water", "accuracy", "rake",
                 "verdict")  # fmt: skip
    rows = [_form(row, units) for row in records(found)]
    return _section("title.iron_forms", tag("table", top, tag("tbody", join(rows))))


def _form(row: Mapping[str, Any], units: str) -> Html:
    cells = {str(key): cell for key, cell in row.items()}
    cells |= {f"iron_{name}": row.get(name) for name in OF_CARD}
    return _cells(
        [
            join([said(text(row["product"])), tag("small", said(text(row["form"])))]),
            said(text(row["machine"])),
            _quantity(row, "amount", text(row.get("unit")), units),
            _quantity(row, "hours", "h", units),
            _quantity(row, "water_l", "l", units),
            _within(row),
            word("iron_form.days", days=plain(float(row["rake_days"]))),
            said(sentence(text(row["rule"]), cells, units)),
        ],
        chosen=bool(row["chosen"]),
    )


def _within(row: Mapping[str, Any]) -> str:
    if missing(row.get("accuracy_pct")):
        return ""
    off, rests_on = plain(round(float(row["accuracy_pct"]), 1)), text(row.get("accuracy_from"))
    return word("iron_form.within", pct=off, source=rests_on)


def _programmes(found: pd.DataFrame, units: str) -> Html:
    if found.empty:
        return Html()
    top = _head("programme", "name", "iron", "blades", "seed", "iron_kg", "what")
    rows = []
    for row in records(found):
        answer = text(row["answer"])
        name = known("programme", text(row["programme"]))
        marked = tag("small", word(f"programme.answer.{answer}")) if answer else ""
        what = f"{sentence(text(row['rule']), {}, units)} {text(row['remark'])}".strip()
        rows.append(
            _cells(
                [
                    join([name, marked]),
                    *(_span(row, kind) for kind in ("iron", "blades", "seed")),
                    _quantity(row, "iron_kg", "kg", units),
                    said(what),
                ],
                chosen=answer == "chosen",
            )
        )
    return _section("title.programmes", tag("table", top, tag("tbody", join(rows))))


def _span(row: Mapping[str, Any], kind: str) -> str:
    first, last = text(row[f"{kind}_from"]), text(row[f"{kind}_to"])
    if not first:
        return word("programme.none")
    return word("programme.span", first=day(first), last=day(last))


def _quantity(row: Mapping[str, Any], column: str, unit: str, units: str) -> str:
    return "" if missing(row.get(column)) else quantity(float(row[column]), unit, units)


def _cells(cells: Iterable[Html | str], *, chosen: bool) -> Html:
    found = join(tag("td", tag("strong", each) if chosen and each else each) for each in cells)
    return tag("tr", found)


def _head(prefix: str, *columns: str) -> Html:
    return head((word(f"{prefix}.{name}"), "") for name in columns)


def _section(title: str, body: Html) -> Html:
    return tag("section", tag("h2", word(title)), body)
