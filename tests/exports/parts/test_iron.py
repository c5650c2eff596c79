"""What the job sheet says of iron beside its rows: gates to tick, forms and programmes."""

import datetime as dt

import pytest

from lawnmap.exports.parts import iron as iron_html
from lawnmap.exports.sheet import render
from lawnmap.jobs.choices import choices
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan
from lawnmap.jobs.start import start
from lawnmap.processing.disclose import disclose

SAND = """
[[product]]
name = "Groyne Lawn Sand (invented) <b>"
form = "lawn sand"
authorised_for_moss = true
authorisation_no = "INVENTED 0002"
country = "GB"
use_by = 2028-12-31
user = "professional"
analysis_pct = 2.0
analysis_as = "Fe"
analysis_basis = "w/w"
nitrogen_pct = 0
rate_printed = "80 g/m²"
seed_to_iron_days = 120
untreated_strip_m = 2.0
packs = [{ size = 20, unit = "kg", price = 21.00 }]
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("site") / "garden"
    start(folder, sample=True)
    cards, chosen = folder / "products.toml", folder / "specification.toml"
    cards.write_text(cards.read_text(encoding="utf-8") + SAND, encoding="utf-8")
    text = chosen.read_text(encoding="utf-8").replace(
        'iron = "Saltmarsh Moss Iron (invented)"\n', "", 1
    )
    chosen.write_text(text, encoding="utf-8")
    today = dt.date(2026, 9, 7)
    found = choices(open_site(folder), depot=None, personal=folder / "nobody", today=today)
    return plan(open_site(folder).site, found, today=today)


def test_the_plan_uses_the_cheaper_card_by_itself(made):
    """2 × 2 kg of soluble iron at 11.50 against six bags of sand at 21.00."""
    forms = made.tables["iron_forms"].set_index("product")
    assert list(forms["chosen"]) == [True, False]
    assert forms.iloc[0]["rule"] == "iron_form_cheapest"
    assert forms["cost"].is_monotonic_increasing
    assert set(made.steps.loc[made.steps["iron_g_m2"] > 0, "product"]) == {forms.index[0]}


def test_the_sheet_lays_them_side_by_side_without_a_price(made):
    page = render(disclose(made, "crew")).decode()
    assert "Iron: the forms side by side" in page
    assert "costs more for" in page
    assert "<b>" not in page
    assert "21.00" not in page
    assert "When the season is too short: three ways" in page
    assert "suggested" in page
    assert "?" not in str(iron_html.compared(disclose(made, "crew")))


def test_gates_are_ticked_once_for_each_work(made):
    page = str(iron_html.gates(disclose(made, "crew")))
    assert page.count("Iron, dissolved: ") == 1
    assert "No rain for 12 h (label)." in page
    assert page.count('class="box"') > 20


def test_without_anything_to_compare_nothing_is_said(made):
    paper = disclose(made, "crew")
    bare = paper.of(plan=type(made)(**{**vars(paper.plan), "tables": {}}))
    assert str(iron_html.compared(bare)) == ""
    steps = paper.plan.steps.drop(columns="gates")
    assert str(iron_html.gates(paper.of(plan=type(made)(**{**vars(paper.plan), "steps": steps})))
               ) == ""  # fmt: skip
