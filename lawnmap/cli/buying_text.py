"""What to buy, what goes in each load, and what it costs, as text for the terminal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import pandas as pd

from lawnmap.agronomy.unit_systems import METRIC
from lawnmap.cli.told import amount, between, number, spaced, table
from lawnmap.exports.wording.amounts import SPACE, beside, strength
from lawnmap.exports.wording.step_text import heaped

MATERIALS = "materials"
WHOLE = ("days", "visits", "loads", "bins")
NOT_YET = "total_so_far"
RUNS = 4  # the column, shown where any load is for more than one


def materials(totals: pd.DataFrame, units: str) -> str:
    """Return what is needed and the packs to buy, then what stays on the shelf."""
    rows = [
        [
            str(each["product"]),
            str(each["operation"]).replace("_", " "),
            str(each["status"]),
            amount(each["amount_low"], each["amount"], heaped(each, "unit"), units),
            str(each["packs"] or ""),
            number(each["cost"], 2),
        ]
        for _, each in totals.iterrows()
    ]
    shown = table(["product", "for", "status", "amount", "packs", "cost"], rows)
    return "\n".join([shown, *_notes(totals, "product", ("flag", "shelf"))])


def loads(found: pd.DataFrame, units: str) -> str:
    """Return what is weighed into each load, then what to look at twice."""
    rows = [
        [
            str(each["zone_id"]),
            str(each["sequence"]),
            str(each["product"]),
            str(each["machine"]),
            "" if each["runs"] == 1 else f"{each['runs']:.0f}",
            f"{each['full_loads']:.0f} × {_in_load(each, 'full', units)}"
            if each["full_loads"]
            else "",
            _in_load(each, "last", units) if each["last_product"] > 0 else "",
            _mix(each, units),
        ]
        for _, each in found.iterrows()
    ]
    mix = "g/l" if units == METRIC else "mix"
    # A spreader goes over the ground more than once, each time with these loads.
    head = ["zone", "step", "product", "with", "runs", "full loads", "last part-load", mix]
    if (found["runs"] == 1).all():
        head.pop(RUNS)
        for row in rows:
            row.pop(RUNS)
    shown = table(head, rows)
    poured = found[~(found["full_water_l"] > 0)]
    notes = [*_notes(found, "zone_id", ("flag",)), *_notes(poured, "product", ("remark",))]
    return "\n".join([shown, *notes])


def cost(costs: pd.DataFrame, quote: pd.DataFrame, *, client: bool = True) -> str:
    """Return what the plan costs its owner, what has no price, and what a client is asked."""
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
    asked = _asked(quote, currency) if client else []
    return "\n".join([f"Cost{_behind(currency, ', ')}", *lines, *asked])


def _asked(quote: pd.DataFrame, currency: str) -> list[str]:
    total = quote[quote["part"].isin(["total", NOT_YET])].dropna(subset=["amount"])
    if total.empty:
        return []
    (row,) = total.to_dict("records")
    open_yet = " so far: prices are missing" if row["part"] == NOT_YET else ""
    asked = f"{number(row['amount'], 2)}{_behind(currency, ' ')}"
    out = quote.loc[quote["part"] == "left_out", "what"].str.replace("_", " ")
    without = f" Not in it: {', '.join(out)}." if len(out) else ""
    return [f"The client is asked {asked}{open_yet} (lawnmap export --to quote).{without}"]


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


def _in_load(row: pd.Series, which: str, units: str) -> str:
    weigh = row[f"{which}_weigh"]
    exact = row[f"{which}_product"] if pd.isna(weigh) else weigh
    unit = row["product_unit"]
    figure = number(exact) if pd.isna(weigh) else f"{weigh:,.10g}"
    product = f"{figure} {unit}{spaced(beside(exact, unit, units))}"
    water, ground = row[f"{which}_water_l"], row[f"{which}_area_m2"]
    mixed = f" in {amount(water, water, 'l', units)}" if water > 0 else ""
    return f"{product}{mixed} on {amount(ground, ground, 'm²', units)}"


def _mix(row: pd.Series, units: str) -> str:
    """Return the strength of the mix as heptahydrate, of what water so warm dissolves."""
    if pd.isna(row["as_salt_g_l"]):
        return ""
    if units == METRIC:
        return f"{number(row['as_salt_g_l'])} of {row['dissolves_g_l']:.0f}"
    salt, most = (strength(row[name], units) for name in ("as_salt_g_l", "dissolves_g_l"))
    return spaced(f"{salt.partition(SPACE)[0]} of {most}")


def _notes(rows: pd.DataFrame, name: str, columns: Sequence[str]) -> Iterable[str]:
    """Return each different note once, behind those it is of."""
    notes: dict[str, list[Any]] = {}
    for column in columns:
        for whose, note in zip(rows[name], rows[column], strict=True):
            if note:
                notes.setdefault(str(note), []).append(whose)
    return [f"- {', '.join(dict.fromkeys(whose))}: {note}" for note, whose in notes.items()]
