"""What to buy, what goes in each load, and what it costs, as text for the terminal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import pandas as pd

from lawnmap.cli.told import between, number, table

MATERIALS = "materials"
WHOLE = ("days", "visits", "loads", "bins")
NOT_YET = "total_so_far"


def materials(totals: pd.DataFrame) -> str:
    """Return what is needed and the packs to buy, then what stays on the shelf."""
    rows = [
        [
            str(each["product"]),
            str(each["operation"]).replace("_", " "),
            str(each["status"]),
            f"{between(each['amount_low'], each['amount'])} {each['unit']}",
            str(each["packs"] or ""),
            number(each["cost"], 2),
        ]
        for _, each in totals.iterrows()
    ]
    shown = table(["product", "for", "status", "amount", "packs", "cost"], rows)
    return "\n".join([shown, *_notes(totals, "product", ("flag", "shelf"))])


def loads(found: pd.DataFrame) -> str:
    """Return what is weighed into each load, then what to look at twice."""
    rows = [
        [
            str(each["zone_id"]),
            str(each["sequence"]),
            str(each["product"]),
            str(each["machine"]),
            f"{each['full_loads']:.0f} × {_in_load(each, 'full')}" if each["full_loads"] else "",
            _in_load(each, "last") if each["last_product"] > 0 else "",
            _mix(each),
        ]
        for _, each in found.iterrows()
    ]
    shown = table(["zone", "step", "product", "with", "full loads", "last part-load", "g/l"], rows)
    return "\n".join([shown, *_notes(found, "zone_id", ("flag",))])


def cost(costs: pd.DataFrame, quote: pd.DataFrame) -> str:
    """Return what the plan costs its owner, what has no price, and what the client is asked."""
    currency = "".join(quote["currency"].head(1))
    known, missing = costs[costs["cost"].notna()], costs[costs["cost"].isna()]
    rows = [
        [
            str(each["part"]),
            str(each["what"]),
            _counted(each),
            number(each["price"], 2),
            between(each["cost_low"], each["cost"], 2),
        ]
        for _, each in known.iterrows()
    ]
    sums = between(known["cost_low"].sum(), known["cost"].sum(), 2)
    lines = []
    if rows:
        head = ["part", "what", "number", "price", "cost"]
        lines = [table(head, [*rows, ["all that has a price", "", "", "", sums]])]
    lines += _notes(known[known["part"] != MATERIALS], "what", ("remark",))
    lines += _lacking(missing)
    return "\n".join([f"Cost{_behind(currency, ', ')}", *lines, *_asked(quote, currency)])


def _asked(quote: pd.DataFrame, currency: str) -> list[str]:
    total = quote[quote["part"].isin(["total", NOT_YET])].dropna(subset=["amount"])
    if total.empty:
        return []
    (row,) = total.to_dict("records")
    open_yet = " so far: prices are missing" if row["part"] == NOT_YET else ""
    asked = f"{number(row['amount'], 2)}{_behind(currency, ' ')}"
    return [f"The client is asked {asked}{open_yet} (lawnmap export --to quote)."]


def _behind(text: str, lead: str = ", ") -> str:
    return f"{lead}{text}" if text else ""


def _counted(row: pd.Series) -> str:
    """Return how many: hours to a tenth, whole packs, days, visits and loads."""
    if row["part"] == MATERIALS and pd.notna(row["cost"]):
        return str(row["remark"])
    if pd.isna(row["number"]):
        return ""
    unit = str(row["number_unit"])
    if row["number"] == 1 and unit in WHOLE:
        unit = unit.removesuffix("s")
    digits = 0 if row["number_unit"] in WHOLE else 1
    return f"{between(row['number_low'], row['number'], digits)} {unit}"


def _lacking(rows: pd.DataFrame) -> Iterable[str]:
    """Return what has no price, those together that lack it for the same reason."""
    for (part, remark), group in rows.groupby(["part", "remark"], sort=False):
        named = "; ".join(f"{row['what']}{_behind(_counted(row))}" for _, row in group.iterrows())
        yield f"- {part}: {named}: {remark}"


def _in_load(row: pd.Series, which: str) -> str:
    weigh = row[f"{which}_weigh"]
    amount = number(row[f"{which}_product"]) if pd.isna(weigh) else f"{weigh:,.10g}"
    water, area = number(row[f"{which}_water_l"]), number(row[f"{which}_area_m2"])
    return f"{amount} {row['product_unit']} in {water} l on {area} m²"


def _mix(row: pd.Series) -> str:
    """Return the strength of the mix as heptahydrate, of what water so warm dissolves."""
    if pd.isna(row["as_salt_g_l"]):
        return ""
    return f"{number(row['as_salt_g_l'])} of {row['dissolves_g_l']:.0f}"


def _notes(rows: pd.DataFrame, name: str, columns: Sequence[str]) -> Iterable[str]:
    """Return each different note once, behind those it is of."""
    notes: dict[str, list[Any]] = {}
    for column in columns:
        for whose, note in zip(rows[name], rows[column], strict=True):
            if note:
                notes.setdefault(str(note), []).append(whose)
    return [f"- {', '.join(dict.fromkeys(whose))}: {note}" for note, whose in notes.items()]
