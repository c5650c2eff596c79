"""The record for people and as JSON has it."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import TYPE_CHECKING, Any

from lawnmap.cli.told import table
from lawnmap.errors import printable
from lawnmap.processing.records.record_cells import KEYS
from lawnmap.processing.records.register import NOT_IN_IT

if TYPE_CHECKING:
    from collections.abc import Mapping

    from lawnmap.jobs.record import Recorded
    from lawnmap.jobs.register import Listed

LARGE, THOUSAND = {"g": "kg", "ml": "l"}, 1000
HEAD = ("record_id", "zone_id", "operation")
KEY_OF = {key.column: name for name, key in KEYS.items()}
WITH_UNIT = {"amount": "unit", "dose": "dose_unit"}
IN_COLUMN = {
    "area_m2": "m²", "water_l": "l", "pressure_bar": "bar", "air_temp_c": "°C", "waste_l": "l",
}  # fmt: skip


def data(found: Recorded) -> dict[str, Any]:
    """Return a new row as JSON has it."""
    return {
        "row": dict(found.row),
        "not_typed": dict(found.how),
        "empty": list(found.empty),
        "iron": found.iron,
        "saved": found.saved,
        "revision": found.revision,
    }


def recorded(found: Recorded) -> str:
    """Return what was recorded, what the iron of the year is, and what is still empty."""
    row = found.row
    today = f" ({found.how['date']})" if "date" in found.how else ""
    head = f"{row['record_id']}: {row['operation']} on {row['zone_id']}, {row['date']}{today}"
    lines = [
        (KEY_OF.get(name, name), _value(row, name), found.how.get(name, ""))
        for name in row
        if name not in (*HEAD, "date", *WITH_UNIT.values())
    ]
    width = max((len(name) for name, *_ in lines), default=0)
    told = [
        printable(f"  {name:<{width}}  {value}{f' ({how})' if how else ''}")
        for name, value, how in lines
    ]
    parts = ["\n".join([printable(head), *told]), found.iron]
    if found.empty:
        names = ", ".join(f"{KEY_OF[name]}=" for name in found.empty)
        parts.append(f"Not said, and asked for in some places (check your local list): {names}")
    return "\n".join(part for part in (*parts, _end(found)) if part)


def cancelled(found: Recorded) -> str:
    """Return that a row was taken back, and what to do next."""
    row = found.row
    said = printable(f"{row['record_id']}: takes {row['cancels']} back. Reason: {row['reason']}.")
    return "\n".join((said, _end(found), "Record the work once more as it was, if it was done."))


def rows_data(found: Listed) -> list[dict[str, Any]]:
    """Return rows of the record as JSON has them, each with what took it back."""
    return [
        {
            **{name: cell for name, cell in row.items() if cell},
            "taken_back_by": _by(found.gone, row),
        }
        for row in found.rows
    ]


def rows(found: Listed, year: int | None) -> str:
    """Return the rows of the record as a table."""
    if not found.rows:
        return "Nothing is recorded yet." if year is None else f"Nothing is recorded for {year}."
    lines = [
        [
            *(row.get(name, "") for name in ("date", *HEAD, "product")),
            _value(row, "amount"), _value(row, "area_m2"), _value(row, "dose"),
            _by(found.gone, row),
        ]
        for row in found.rows
    ]  # fmt: skip
    head = ["date", "row", "zone", "operation", "product", "amount", "area", "dose"]
    if any(line[-1] for line in lines):
        return table([*head, "taken back by"], lines)
    return table(head, [line[:-1] for line in lines])


def register(path: Path, year: int, count: int) -> str:
    """Return where the register is and what is not in it."""
    return f"Register of {year}, {count} row{'' if count == 1 else 's'}: {path}\n{NOT_IN_IT}"


def _value(row: Mapping[str, str], name: str) -> str:
    cell = row.get(name, "")
    unit = row.get(WITH_UNIT[name], "") if name in WITH_UNIT else IN_COLUMN.get(name, "")
    with contextlib.suppress(ValueError):  # somebody may have written anything there by hand
        if unit in LARGE and float(cell) >= THOUSAND:
            cell, unit = f"{float(cell) / THOUSAND:.6g}", LARGE[unit]
    return f"{cell} {unit}".strip() if cell else ""


def _by(gone: Mapping[str, Mapping[str, str]], row: Mapping[str, str]) -> str:
    return gone.get(row.get("record_id", ""), {}).get("record_id", "")


def _end(found: Recorded) -> str:
    return f"Saved as revision {found.revision}." if found.saved else "Nothing was saved."
