"""A pond on a zone's edge, from the choice to the quantity, the map and the sheet."""

import datetime as dt
import json
import re
import shutil
from pathlib import Path

import numpy as np
import pytest
import shapely

from lawnmap.jobs.choices import choices
from lawnmap.jobs.export import render
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan

SCENARIOS = Path(__file__).parents[2] / "docs" / "scenarios"
TODAY = dt.date(2026, 8, 1)
RATE = 50 / 16  # g/m²: 50 g over 16 m², as the card of the scenario has it
NOT_SET = "not set: do not apply"
UNTREATED, NOTHING_HERE = "untreated", "Iron: nothing put down here"
# 20 × 10 m with the pond along a short side; corners are widened by 0.12 % of the strip.
WHOLE, SIDE = 200.0, 10.0


@pytest.fixture
def beside_pond(tmp_path):
    """Return a plan of the scenario with a width that a rule of the site sets, or none."""
    for name in ("products.toml", "machines.toml"):
        shutil.copy(SCENARIOS / name, tmp_path)
    shutil.copytree(SCENARIOS / "pond", tmp_path / "pond")

    def make(width_m=None):
        rule = f'[strips.legal]\nwater_m = {width_m}\nfrom = "site rule"\n' if width_m else ""
        text = (SCENARIOS / "pond" / "specification.toml").read_text("utf-8")
        (tmp_path / "pond" / "specification.toml").write_text(f"{text}\n{rule}", "utf-8")
        opened = open_site(tmp_path / "pond")
        wanted = choices(opened, depot=None, personal=tmp_path / "nobody", today=TODAY)
        return plan(opened.site, wanted, today=TODAY)

    return make


def iron(made):
    steps = made.steps
    return steps[steps["operation"] == "iron_soluble"].iloc[0]


def text_of(page):
    """Return the words of a page, a blank between any two."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page.replace("\u202f", " "))).replace(
        "\xa0", " "
    )


def on_the_map(made):
    """Return what the map draws as kept clear of iron by law, in m² on the ground."""
    page = render(made, "map", units="metric").data.decode("utf-8")
    labels = re.findall(r'data-layer="(\d+)".*?<span>(.*?)</span></label>', page, re.DOTALL)
    place = next(int(number) for number, label in labels if label == NOTHING_HERE)
    block = re.search(r'<script type="application/json" id="lawnmap-data">(.*?)</script>', page)
    areas = json.loads(block[1])["layers"][place]["areas"]
    # The scenario has no place on the earth: what the map is given is metres.
    return sum(shapely.Polygon(rings[0], rings[1:]).area for rings in areas)


def on_the_sheet(made):
    """Return the words of the sheet and the area for iron that it prints."""
    words = text_of(render(made, "sheet", units="metric").data.decode("utf-8"))
    printed = re.search(r"Area for iron: ([\d.,]+) m²", words)
    return words, float(printed[1]) if printed else None


def test_a_width_that_nobody_set_stops_iron_everywhere_it_is_told(beside_pond):
    made = beside_pond()
    step = iron(made)
    assert step["status"] == NOT_SET
    assert np.isnan(step["amount"])
    assert made.loads.empty
    kept = made.layers["kept_clear"].query("kind == 'spray'").iloc[0]
    assert (kept["strip"], kept["instead"], kept["set_by"]) == (UNTREATED, NOT_SET, "not set")
    assert on_the_map(made) == pytest.approx(WHOLE, rel=1e-3)
    words, area = on_the_sheet(made)
    assert area == 0
    assert f"Strip along water or drains: {NOT_SET}" in words
    assert re.search(rf"Sprayed iron .{{0,40}}untreated.{{0,40}} nobody all of it {NOT_SET}", words)


@pytest.mark.parametrize("width_m", [3.0, 5.0])
def test_setting_it_moves_quantity_map_and_sheet_together(beside_pond, width_m):
    made = beside_pond(width_m)
    zone, step = made.zones.iloc[0], iron(made)
    treated = WHOLE - SIDE * width_m
    assert step["status"] == "do"
    assert step["amount"] / RATE == pytest.approx(treated, rel=2e-3)
    kept_on_map = on_the_map(made)
    words, printed = on_the_sheet(made)
    # Three numbers, each read from where a person reads it, say the same ground.
    assert zone["ground_area_m2"] - kept_on_map == pytest.approx(step["amount"] / RATE, abs=0.1)
    assert printed == pytest.approx(step["amount"] / RATE, abs=0.1)  # as rounded on the sheet
    assert f"{width_m:g} m untreated" in words
    assert "a rule of the site" in words


def test_feed_waits_for_its_strip_too(beside_pond):
    steps = beside_pond().steps.set_index("operation")
    assert steps.loc["feeding", "status"] == NOT_SET
    steps = beside_pond(3.0).steps.set_index("operation")
    assert steps.loc["feeding", "status"] == "do"
    assert steps.loc["feeding", "area_m2"] == pytest.approx(WHOLE - SIDE * 3, rel=2e-3)
    assert steps.loc["overseeding", "area_m2"] == pytest.approx(WHOLE, rel=1e-3)
