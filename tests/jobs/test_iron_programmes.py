"""Whole plans with iron: what a programme does, what is kept to without one, and what is traced."""

import datetime as dt
from dataclasses import replace

import pytest

from lawnmap.jobs.plan import plan
from lawnmap.jobs.tracing.inputs import Ground
from lawnmap.jobs.tracing.of_steps import of_steps
from lawnmap.model import Machine, Product, Site
from lawnmap.store import specification as written
from tests.conftest import IRON
from tests.processing.sites import box

MARCH = dt.date(2027, 3, 10)
TOOLS = (
    Machine("rake", "rake"),
    Machine("can", "can", tank_l=10, water_l_m2=0.625, area_m2_h=200),
    Machine("spreader", "spreader", width_m=0.5, area_m2_h=600),
)
SAND = replace(
    IRON, name="Sand", form="lawn sand", rate_printed="35 g/m²", analysis_pct=2.0,
    nitrogen_pct=3.0, iron_to_seed_days=42,
)  # fmt: skip
FEED = Product(name="Feed", form="feed", nitrogen_pct=10.0)


def made(day, *cards, text="", moss=3):
    """Return the plan of a lawn of 12 × 15 m, much of it moss."""
    facts = {"feature": "zone", "zone_id": "lawn", "moss_rating": moss, "thatch_rating": 1}
    feature = {"type": "Feature", "geometry": box(0, 0, 12, 15), "properties": facts}
    header = {"format": 1, "revision": 1}
    site = Site({"type": "FeatureCollection", "lawnmap": header, "features": [feature]})
    choices = written.parse(
        f'country = "GB"\nfirst_day = {day}\n{text}'.encode(),
        products={each.name: each for each in cards},
        machines={each.name: each for each in TOOLS},
    )
    return plan(site, replace(choices, choices={**choices.choices, "today": day}), today=day)


def days(found):
    return {
        row["operation"]: dt.date.fromisoformat(row["day"])
        for row in found.steps.to_dict("records")
        if row["day"]
    }


@pytest.mark.parametrize(("programme", "season"), [("spring iron", ""), ("iron now", "autumn")])
def test_spring_iron_is_done_in_spring(programme, season):
    """The table said 10 March on, and the plan put all of it off until August."""
    text = f'programme = "{programme}"\nseason = "{season}"\n'
    found = made(MARCH, IRON, text=text)
    on = days(found)
    row = found.tables["programmes"].set_index("programme").loc[programme]
    assert dt.date.fromisoformat(row["iron_from"]) <= on["iron_soluble"] <= dt.date(2027, 5, 17)
    assert dt.date.fromisoformat(row["blades_from"]) <= on["raking"] <= dt.date(2027, 5, 31)
    assert (on["raking"] - on["iron_soluble"]).days >= 14
    assert "overseeding" not in on


def test_what_is_kept_to_without_a_programme_is_said_with_its_days():
    found = made(MARCH, IRON)
    on = days(found)
    (said,) = [each for each in found.cautions if "No programme is chosen" in each]
    assert (
        f"iron from {on['iron_soluble']}, blades from {on['raking']}, "
        f"seed from {on['overseeding']}" in said
    )
    assert 'write programme = "spring iron", "seed now" or "iron now"' in said


def feeding(found):
    """Return what the amount of feed was worked out from."""
    (zone,) = found.zones.to_dict("records")
    traces = of_steps(Ground(found, "lawn", zone))
    return {each.name: each for one in traces if "amount" in one.what and "Feed" in one.what
            for each in one.inputs}  # fmt: skip


def test_the_nitrogen_that_lawn_sand_brings_is_traced_at_the_feed():
    """35 g/m² with 3 % of nitrogen bring 1.05 g/m², which the feed is less by."""
    august = dt.date(2027, 8, 16)
    chosen = '[products]\niron = "Sand"\nfeed = "Feed"\n'
    found = made(august, SAND, FEED, text=chosen)
    (brought,) = [each for name, each in feeding(found).items() if name.startswith("nitrogen that")]
    assert "lawn sand" in brought.name
    assert (brought.value, brought.origin) == ("1.05 g/m²", "label card, Sand")
    without = made(august, replace(SAND, nitrogen_pct=0.0), FEED, text=chosen)
    assert not [name for name in feeding(without) if name.startswith("nitrogen that")]
    fed = [each.steps.set_index("operation").loc["feeding", "nitrogen_g_m2"]
           for each in (without, found)]  # fmt: skip
    assert fed[0] - fed[1] == pytest.approx(1.05)


def test_sand_on_the_patches_is_not_left_out_of_the_feed_and_not_traced_there():
    august = dt.date(2027, 8, 16)
    chosen = '[products]\niron = "Sand"\nfeed = "Feed"\n'
    found = made(august, SAND, FEED, text=chosen, moss=2)
    assert list(found.zones["iron_extent"]) == ["spot"]
    assert not [name for name in feeding(found) if name.startswith("nitrogen that")]
