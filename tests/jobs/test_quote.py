"""From prices in the specification to the client's page, with nothing of our own on it."""

import re
from decimal import Decimal

import pytest

from lawnmap import plugins
from lawnmap.cli import plan_text
from lawnmap.jobs.export import render
from lawnmap.jobs.start import start
from tests.jobs.test_plan import planned

# Figures that turn up nowhere else: an hour, a visit, a load, the mark-up.
SECRET = ("31.77", "18.33", "241.11", "37.29")
PRICES = f"""
[money]
currency = "GBP"
hour_rate = {SECRET[0]}
travel_a_visit = {SECRET[1]}

[disposal]
route = "tip"
load_l = 3000
load_kg = 900
price_a_load = {SECRET[2]}

[quote]
mark_up_pct = {SECRET[3]}
tax_pct = 20
tax_name = "VAT"
valid_days = 30
exclusions = ["Repair of cracked paving"]
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("site") / "garden"
    start(folder, sample=True)
    path = folder / "specification.toml"
    kept = re.split(
        r"^\[money\].*?(?=^\[zones)", path.read_text("utf-8"), flags=re.MULTILINE | re.DOTALL
    )
    path.write_text(PRICES.join(kept), encoding="utf-8")
    return planned(folder)


def test_costs_follow_from_the_steps(made):
    costs = made.tables["costs"].set_index(["part", "what"])
    live = made.steps[made.steps["status"].isin(["do", "for pricing only"])]
    blades = live[live["operation"] == "scarifying"]
    row = costs.loc[("labour", "scarifying")]
    assert row["cost"] == pytest.approx(31.77 * blades["hours"].sum(), abs=0.005)
    assert row["cost_low"] == pytest.approx(31.77 * blades["hours_low"].sum(), abs=0.005)
    assert costs.loc[("travel", "visits"), "number"] == len(made.dates.visits)
    materials = costs.loc["materials", "cost"].sum()
    assert materials == pytest.approx(made.totals["cost"].sum())


def test_the_page_shows_what_the_table_says_and_it_adds_up(made):
    quote = made.tables["quote"]
    page = re.sub(r"<[^>]+>", "|", render(made, "quote").data.decode()).replace("\u202f", "")
    shown = {
        row["part"]: Decimal(f"{row['amount']:.2f}")
        for row in quote.dropna(subset=["amount"]).to_dict("records")
    }
    assert all(f"|{amount}|" in page for amount in shown.values())
    total, tax, net = (shown.pop(name) for name in ("total", "tax", "before_tax"))
    assert sum(shown.values()) == net
    assert net + tax == total
    assert "VAT 20 %" in page
    assert "Repair of cracked paving" in page


@pytest.mark.parametrize("audience", ["public", "client", "crew"])
@pytest.mark.parametrize("to", sorted(plugins.available("exports")))
def test_no_rate_no_mark_up_and_no_cost_leaves(made, to, audience):
    seen = render(made, to, audience=audience).data.decode("utf-8", "replace")
    # As a figure of its own: a corner of the plan, or an escape and a figure, may make the digits.
    seen = re.sub(r"\\u[0-9a-f]{4}", " ", seen)
    assert not [each for each in SECRET if re.search(rf"(?<![\d.]){re.escape(each)}(?!\d)", seen)]
    total = f"{made.tables['quote'].set_index('part').loc['total', 'amount']:.2f}"
    asked = total in seen.replace("\u202f", "")
    assert asked == (to == "quote" and audience == "client")


def test_the_owner_reads_the_cost_in_text_and_as_data(made):
    text = plan_text.text(made)
    section = text[text.index("\nCost, GBP") :].split("\n\n")[0]
    assert "31.77" in section
    assert "arisings: tip" in section
    assert "no hours worked out" in section  # watering
    total = made.tables["quote"].set_index("part").loc["total", "amount"]
    assert f"The client is asked {total:,.2f} GBP" in section
    data = plan_text.data(made)
    assert data["costs"][0]["part"] == "materials"
    assert [row["amount"] for row in data["quote"] if row["part"] == "total"] == [total]


def test_what_is_weighed_stands_in_the_plan(made):
    text = plan_text.text(made)
    load = made.loads.iloc[0]
    assert load["last_weigh"] == int(load["last_product"])  # scales to 1 g, never more
    assert f"{load['last_weigh']:g} g in" in text
    assert "of 286" in text  # g/l of heptahydrate at 0 °C, agronomy.md 4.2
    assert "Keep it in its own pack" in text
