"""What has to be said, and nothing else."""

import datetime as dt

from lawnmap.model import Machine
from lawnmap.processing import cautions as step

PETROL = Machine("petrol", "petrol", width_m=0.38, speed_km_h=3.0, field_efficiency=0.7)
BIG = {"ground_area_m2": 900.0}


def said(lawn, zone=None, *cards, features=(), **choices):
    zones = lawn.zones(zone or {})
    return lawn.work(zones, lawn.choices(*cards, **choices), lawn.features(*features)).cautions


def test_not_asked_comes_first(lawn):
    assert said(lawn, BIG, own=[PETROL])[0] == step.NOT_ASKED
    wire = {"feature": "hidden", "hidden_kind": "cable"}
    assert step.NOT_ASKED not in said(lawn, BIG, own=[PETROL], features=[wire])


def test_no_water_mapped_is_said_only_with_iron(lawn):
    assert step.NO_WATER in said(lawn, None, lawn.iron)
    assert step.NO_WATER not in said(lawn, None, lawn.iron, iron="not on this site")


def test_a_strip_that_is_not_set_is_said(lawn):
    unset = {"water_strip_from": "not set", "iron_area_m2": 0.0}
    pond = {"feature": "water", "water_kind": "pond"}
    assert step.NOT_SET in said(lawn, unset, lawn.iron, features=[pond])


def test_iron_dogs_and_paving(lawn):
    found = said(lawn, None, lawn.iron, features=[{"feature": "paving"}])
    assert any("animals" in each for each in found)
    assert step.SWEEP in found
    assert step.SWEEP not in said(lawn, None, lawn.iron)


def test_machines_bring_their_own(lawn):
    assert any("refuel" in each for each in said(lawn, BIG, own=[PETROL]))
    assert not any("refuel" in each for each in said(lawn))


def test_words_of_the_label(lawn):
    card = lawn.card(keep_off="until dry", rainfast_h=4, cautions=("Not near fish.",))
    found = said(lawn, None, card)
    assert "Moss iron, on keeping off: until dry." in found
    assert "Moss iron: no rain for 4 h." in found
    assert "Moss iron: Not near fish." in found


def test_a_product_for_pricing_only_has_no_words_on_keeping_off(lawn):
    card = lawn.card(keep_off="until dry", authorised_for_moss=False)
    found = said(lawn, None, card, products={"iron": "Moss iron"})
    assert step.PRICES in found
    assert not [each for each in found if "keeping off" in each]


def test_pricing_is_explained(lawn):
    assert step.PRICES in said(lawn)


def test_ways_in(lawn):
    gates = [{"feature": "access", "width_m": 1.0, "steps": 3}, {"feature": "access"}]
    found = said(lawn, BIG, own=[PETROL], features=gates)
    assert step.SEVERAL_WAYS in found
    assert step.STEPS_IN in found


def test_an_autumn_that_is_too_short_names_three_ways_out(lawn):
    """practice.md, change 4: sown by early October in the UK, so iron by about 20 August."""

    def squeezed(day):
        found = said(lawn, None, lawn.iron, today=dt.date(2027, 8, 1), first_day=day)
        return [each for each in found if "No programme is chosen" in each]

    assert squeezed(dt.date(2027, 9, 10))
    assert not squeezed(dt.date(2027, 8, 20))


def test_heavy_work_in_spring_is_flagged(lawn):
    assert step.SPRING in said(lawn)
    assert step.SPRING not in said(lawn, today=dt.date(2027, 9, 1))
    assert step.SPRING not in said(lawn, {"moss_rating": 2})


def test_no_caution_twice_and_none_for_nothing(lawn):
    found = said(lawn, None, lawn.iron)
    assert len(found) == len(set(found))
    assert said(lawn, {"moss_rating": 0}) == ()
