"""Sums, whole packs and cost."""

import pytest

from lawnmap.model import Product


def test_packs_stock_and_cost(lawn):
    card = lawn.card(packs=((500.0, "g", 8.0), (1000.0, "g", 14.0)), stock=100.0)
    worked = lawn.work(lawn.zones({}, {}), lawn.choices(card))
    row = worked.totals.set_index("product").loc["Moss iron"]
    # 2 × 180 m² × 3.125 g/m² = 1,125 g, less 100 g in the shed.
    assert row["amount"] == pytest.approx(1125)
    assert row["to_buy"] == pytest.approx(1025)
    assert (row["packs"], row["cost"]) == ("1 × 500 g + 1 × 1 kg", 22.0)
    assert row["left_over"] == pytest.approx(475)
    assert (row["operation"], row["status"]) == ("iron_soluble", "do")


def test_enough_in_the_shed(lawn):
    worked = lawn.work(lawn.zones(), lawn.choices(lawn.card(stock=1000.0)))
    row = worked.totals.set_index("product").loc["Moss iron"]
    assert (row["packs"], row["cost"], row["to_buy"]) == ("none", 0, 0)
    assert row["left_over"] == pytest.approx(437.5)


def test_what_is_not_allowed_is_not_bought(lawn):
    worked = lawn.work(lawn.zones(), lawn.choices(lawn.card(country="IE")))
    assert "Moss iron" not in set(worked.totals["product"])


def test_dressing_is_bought_by_volume(lawn):
    sand = Product("Sand", "dressing", packs=((800_000.0, "ml", 40.0),))
    worked = lawn.work(
        lawn.zones({"ground_area_m2": 300.0}),
        lawn.choices(
            sand, products={"dressing": "Sand"},
            top_dressing={"wanted": True, "depth_mm": 3, "reason": "hollows"},
        ),
    )  # fmt: skip
    row = worked.totals.set_index("product").loc["Sand"]
    # agronomy.md 7: 300 m² × 3 mm = 0.900 m³; 10 % more is bought.
    assert (row["amount_low"], row["amount"]) == (pytest.approx(0.9), pytest.approx(0.99))
    assert (row["packs"], row["left_over"]) == ("2 × 800 l", pytest.approx(0.61))


def test_nothing_to_do_needs_nothing(lawn):
    worked = lawn.work(lawn.zones({"moss_rating": 0}), lawn.choices(lawn.iron))
    assert worked.totals.empty
    assert worked.loads.empty
