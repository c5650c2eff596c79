"""Very many zones are worked out in figures and rules alone, and they are the very same."""

import sys
from dataclasses import replace
from functools import partial
from importlib import import_module
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from lawnmap import schema
from lawnmap.model import Machine, Product
from lawnmap.processing import machines
from lawnmap.processing.judgement.choose import choose
from lawnmap.processing.judgement.verdicts import WORK
from lawnmap.processing.steps import figures
from lawnmap.reference import bringing
from lawnmap.treatments import row

COLUMNS = {each.name: each.dtype for each in schema.columns("steps") if each.kind == "zone"}
# What is made where somebody reads it.
READ = {"sources", "standing", "flag", "remark", "beside", "gates", "keep_off"}
HALF = 0.5
SPECIFICATIONS = (
    "home", "no card", "firm", "sand", "ban", "staged", "abroad", "not set", "unclaimed", "liquid",
    "later",
)  # fmt: skip
PETROL = Machine("petrol", "petrol", width_m=0.38, speed_km_h=3.0, field_efficiency=0.7)
BOXED = Machine("electric", "electric", width_m=0.3, box_l=50.0, most_slope_deg=12.0)
FEED = Product("Feed", form="feed", nitrogen_pct=12.0, rate_g_m2=30.0)
SEED = Product("Seed", form="seed", rate_g_m2=50.0, purity_pct=97.0, germination_pct=85.0)
DRESSED = {"wanted": True, "reason": "hollows"}


def sand(lawn):
    return lawn.card(
        name="Sand", form="lawn sand", rate_printed="35 g/m²", analysis_pct=2.0,
        nitrogen_pct=4.0, most_doses_a_year=2, least_days_between=28,
    )  # fmt: skip


def specifications(lawn):
    """Return choices that between them lead to every status and to most rules."""
    own = [PETROL, BOXED, machines.generic()["scarifying rake"]]
    repeated = lawn.card(most_doses_a_year=3, least_days_between=28)
    shed = {"seed": "Seed", "feed": "Feed"}
    return {
        "home": lawn.choices(lawn.iron),
        "no card": lawn.choices(),
        "firm": lawn.choices(
            repeated, FEED, SEED, own=own, products=shed, user="professional",
            top_dressing=DRESSED, zones={"z1": {"operations": ("raking", "overseeding")},
                                         "z2": {"seeding": {"wanted": False}},
                                         "z3": {"turf_type": "cricket square"}},
        ),
        "sand": lawn.choices(sand(lawn), FEED, own=own, products={"feed": "Feed"}),
        "ban": lawn.choices(lawn.iron, water_ban=True, top_dressing={"wanted": True}),
        "staged": lawn.choices(repeated, own=[PETROL], turf_type="bowls/croquet/tennis"),
        "abroad": lawn.choices(lawn.card(country="IE")),
        "later": lawn.choices(lawn.iron, postponed="iron"),
        "not set": lawn.choices(lawn.card(rate_printed=""), seeding={"rate_g_m2": 40.0}),
        "unclaimed": lawn.choices(lawn.card(authorised_for_moss=False), postponed="seed"),
        "liquid": lawn.choices(
            lawn.card(form="liquid", rate_printed="", rate_ml_m2=20.0, water_low_l_m2=0.2),
            own=[Machine("can", "can", tank_l=10.0), *own], rates={"nitrogen_g_m2": 3.0},
        ),
    }  # fmt: skip


# What may be known of a zone; where nothing is drawn, nobody knows.
KNOWN = {
    "moss_rating": lambda rng: rng.integers(0, 6),
    "moss_cover_pct": lambda rng: rng.uniform(0, 100),
    "thatch_rating": lambda rng: rng.integers(0, 5),
    "thatch_mm": lambda rng: rng.uniform(0, 60),
    "moss_depth_mm": lambda rng: rng.uniform(0, 80),
    "ground_area_m2": lambda rng: rng.lognormal(5, 2),
    "rake_area_m2": lambda rng: rng.choice([0.0, 3.5]),
    "slope_deg": lambda rng: rng.choice([0.0, 9.0, 25.0]),
    "cut_height_mm": lambda rng: rng.uniform(2, 200),
    "compaction": lambda rng: str(rng.choice(["easy", "hard", "will not go in"])),
    "drainage": lambda rng: str(rng.choice(["free", "slow", "stands wet"])),
    "turf_type": lambda rng: str(rng.choice(["verge", "cricket square", "bowls/croquet/tennis"])),
    "sun_hours_seen": lambda rng: rng.uniform(0, 12),
    "sown_last": lambda rng: "2026-09-01",
    "bare_pct": lambda rng: rng.uniform(0, 100),
    "water_strip_from": lambda rng: str(rng.choice(["label", "not set"])),
    "feed_strip_from": lambda rng: str(rng.choice(["law", "not set"])),
}


def drawn(seed, number):
    """Return zones of which each knows half of what there is to know."""
    rng = np.random.default_rng(seed)
    return [
        {name: draw(rng) for name, draw in KNOWN.items() if rng.random() < HALF}
        for _ in range(number)
    ]


def judged(lawn, rows, specification):
    parts = [lawn.zones(*rows[first : first + 8]) for first in range(0, len(rows), 8)]
    zones = pd.concat(parts)
    zones.index = pd.Index([f"z{n}" for n in range(len(zones))], dtype=object, name="zone_id")
    hidden = lawn.features({"feature": "hidden", "hidden_kind": "boundary wire"})
    found = choose(zones, hidden, specification)
    return found[found["verdict"].isin(WORK)]


def held_in_bulk(zones):
    """Return zones as bulk holds them: text by category, and no outlines."""
    table = pd.DataFrame(zones.drop(columns="geometry"))
    words = [each for each in table if table[each].dtype in ("object", "str")]
    return table.astype(dict.fromkeys(words, "category"))


def assert_same(told, lean):
    """Hold the figures of a table without words against one with them, row by row."""
    assert set(lean) <= set(COLUMNS) - READ
    for name, dtype in COLUMNS.items():
        if name in READ:
            continue
        one = told[name].to_numpy()
        if name in lean:
            other = np.asarray(lean[name])
        else:
            other = np.full(len(lean), "" if dtype == "object" else np.nan, dtype=dtype)
        assert np.array_equal(one, other, equal_nan=dtype == "float64"), name


@pytest.mark.parametrize("name", SPECIFICATIONS)
def test_figures_rules_and_statuses_are_those_of_the_sentences(lawn, name):
    specification = specifications(lawn)[name]
    zones = judged(lawn, drawn(len(name), 64), specification)
    bulk = held_in_bulk(zones)
    for module in lawn.treatments().values():
        told = module.steps(zones, specification)
        for each in (zones, bulk):
            assert_same(told, module.steps(each, replace(specification, words=False)))


def test_every_status_is_met(lawn):
    """Safety is a figure: what is stopped is stopped without a sentence too."""
    met = set()
    for specification in specifications(lawn).values():
        zones = held_in_bulk(judged(lawn, drawn(1, 32), specification))
        for rows in figures(zones, specification, lawn.treatments()).values():
            met |= set(rows["status"])
    assert met == {schema.DO, schema.PRICING, schema.NOT_SET, schema.NOT_ALLOWED,
                   schema.NOT_NEEDED, schema.LATER}  # fmt: skip


def test_no_sentence_is_made(lawn, monkeypatch):
    made = []

    def told(name, sentence):
        made.append(name)
        return sentence()

    def watched(*args, rows=row.rows, **columns):
        lazy = {name: each for name, each in columns.items() if callable(each)}
        seen = {name: partial(told, name, each) for name, each in lazy.items()}
        return rows(*args, **columns | seen)

    specification = specifications(lawn)["firm"]
    zones = judged(lawn, drawn(2, 8), specification)
    monkeypatch.setattr(row, "rows", watched)
    for module in lawn.treatments().values():
        module.steps(held_in_bulk(zones), replace(specification, words=False))
    assert made == []
    for module in lawn.treatments().values():
        module.steps(zones, specification)
    assert set(made) == {"remark", "flag", "beside"}


@pytest.mark.parametrize("name", ["home", "firm", "sand", "staged"])
def test_more_zones_call_no_more_functions(lawn, name):
    """No loop over zones: ten times as many zones take as many calls, within a tenth."""
    specification = replace(specifications(lawn)[name], by_zone={}, words=False)
    few = held_in_bulk(judged(lawn, drawn(3, 40), specification)).reset_index(drop=True)
    many = pd.concat([few] * 10, ignore_index=True)
    for operation, module in lawn.treatments().items():
        module.steps(few, specification)  # tables are read once
        assert calls(module, many, specification) < 1.1 * calls(module, few, specification), (
            operation
        )


def calls(module, zones, specification):
    count = 0

    def each(_frame, event, _arg):
        nonlocal count
        count += event in ("call", "c_call")

    sys.setprofile(each)
    try:
        module.steps(zones, specification)
    finally:
        sys.setprofile(None)
    return count


def test_getting_ready_is_shared_on_a_site_and_not_between_sites(lawn):
    specification = lawn.choices(own=[PETROL])
    zones = judged(lawn, [{"ground_area_m2": 900.0}] * 3, specification)
    bulk = held_in_bulk(zones).assign(site_id=["one", "one", "other"])
    scarify = lawn.treatments()["scarifying"].steps
    rows = scarify(bulk, replace(specification, words=False))
    # Half an hour at the most (common practice) for each machine on each site.
    assert (rows["hours"] - rows["machine_hours"]).tolist() == pytest.approx([0.25, 0.25, 0.5])


def test_figures_of_chosen_operations_only(lawn):
    choices = lawn.choices(
        lawn.iron, operations=("raking", "clearing"), zones={"b": {"operations": ("raking",)}}
    )
    left_alone = {"moss_rating": 0, "thatch_rating": 0}
    zones = choose(lawn.zones({}, {}, left_alone), lawn.features(), choices)
    found = figures(zones, choices, lawn.treatments())
    where = {name: list(rows["zone_id"]) for name, rows in found.items() if len(rows)}
    assert where == {"raking": ["a", "b"], "clearing": ["a"]}


def test_a_plugin_that_gives_plain_texts_goes_on_working(lawn):
    """As they were written before words could be left out."""

    class Brushing:
        TITLE, KIND = "Brushing", "hand"

        @staticmethod
        def steps(zones, specification):
            area = zones["ground_area_m2"]
            remark = [f"brush {each:.0f} m²" for each in area]
            rule = np.full(len(zones), "hours_by_hand", dtype=object)
            return row.rows(zones, "brushing", rule=rule, area_m2=area, remark=remark, flag="dew")

    choices = lawn.choices(operations=("brushing",))
    zones = judged(lawn, [{}, {"ground_area_m2": 40.0}], choices)
    (found,) = figures(held_in_bulk(zones), choices, {"brushing": Brushing}).values()
    assert found["remark"].tolist() == ["brush 180 m²", "brush 40 m²"]
    assert set(found["flag"]) == {"dew"}
    assert found["sources"].str.len().gt(0).all()
    assert found["area_m2"].tolist() == [180.0, 40.0]


def test_the_treatment_of_the_docs(lawn, monkeypatch):
    monkeypatch.syspath_prepend(Path(__file__).parents[1] / "outside" / "meadow")
    brushing = import_module("lawnmap_meadow.brushing")
    bringing.bring("lawnmap-meadow", ["brushing"], brushing.REFERENCE)
    try:
        choices = lawn.choices(operations=("brushing",))
        zones = judged(lawn, [{}, {"ground_area_m2": 40.0}], choices)
        told = brushing.steps(zones, choices)
        assert told["hours"].tolist() == [180 / 150, 40 / 150]
        assert told["hours_low"].tolist() == [180 / 300, 40 / 300]
        assert set(told["standing"]) == {"common practice, no source"}
        assert_same(told, brushing.steps(held_in_bulk(zones), replace(choices, words=False)))
    finally:
        bringing.forget(rows=True)
