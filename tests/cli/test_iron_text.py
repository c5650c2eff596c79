"""Forms of iron and programmes, as text for the terminal."""

import pandas as pd

from lawnmap import schema
from lawnmap.cli.iron_text import compared


class OfTables:
    """Stands in for a plan, of which only the tables are looked at."""

    def __init__(self, **tables):
        self.tables = tables


def row(table, **cells):
    empty = {c.name: "" if c.dtype == "object" else float("nan") for c in schema.columns(table)}
    return pd.DataFrame([{**empty, **cells}])


def test_forms():
    forms = row(
        "iron_forms", product="Moss iron", form="soluble", status="do", machine="can", cost=10.0,
        cost_each=10 / 180, hours=0.9, water_l=112.5, accuracy_pct=2.0, to_hand=False, chosen=True,
        rule="iron_form_only",
    )  # fmt: skip
    (text,) = compared(OfTables(iron_forms=forms), "metric")
    for word in ("use", "can (not to hand)", "10.00", "0.056", "2.0 %", "no other card of iron"):
        assert word in text


def test_a_card_that_is_not_allowed_says_why():
    forms = row("iron_forms", product="X", form="liquid", status="not allowed", to_hand=False,
                chosen=False, machine="knapsack", rule="iron_card_country")  # fmt: skip
    (text,) = compared(OfTables(iron_forms=forms), "metric")
    assert "X is authorised in another country" in text
    assert "not to hand" not in text


def test_programmes():
    ways = row(
        "programmes", programme="seed now", seed_from="2027-09-10", seed_to="2027-10-10",
        iron_kg=0.0, possible=True, answer="suggested", rule="programme_seed_now",
        remark="Not set.",
    )  # fmt: skip
    (text,) = compared(OfTables(programmes=ways), "metric")
    assert "2027-09-10 to 2027-10-10" in text
    assert "none" in text
    assert text.endswith("some comes back. Not set.")


def test_nothing_compared_is_nothing_said():
    assert compared(OfTables(), "metric") == []
    assert (
        compared(
            OfTables(iron_forms=row("iron_forms")[:0], programmes=row("programmes")[:0]), "metric"
        )
        == []
    )
