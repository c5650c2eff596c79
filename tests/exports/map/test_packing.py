"""A long page tells of each zone what a short one tells."""

from itertools import accumulate

import pytest
import shapely

from lawnmap.exports.drawing.drawn import LONG_FROM, drawing
from lawnmap.exports.drawing.themes import themes
from lawnmap.exports.map.block import map_block
from lawnmap.exports.map.packing import ZONES_A_PARCEL, data, packed
from lawnmap.exports.wording.step_text import steps
from tests.exports.papers import dated, grid, paper
from tests.exports.parcels import areas_of, block_of, middles_of, parcels_of

ZONES = ZONES_A_PARCEL + 7
LINES = ("found", "chosen", "watch")
STEPS = ("steps", "left")


@pytest.fixture(scope="module")
def given():
    """Return what a page of a few more zones than a short one has is made of."""
    shapes = grid(ZONES)
    shapes[1] = shapes[1].difference(shapely.buffer(shapes[1].centroid, 1))
    made = dated(paper([f"Lawn {at} </script>" for at in range(ZONES)], shapes=shapes))
    plan = made.plan
    return made, drawing(made), themes(plan.zones), steps(plan.steps, made.units)


@pytest.fixture(scope="module")
def short(given):
    """Return the block as a short page would have it."""
    return map_block(*given)


@pytest.fixture(scope="module")
def long(given):
    """Return the block and the parcels of the long page."""
    page = data(*given).encode()
    return block_of(page), parcels_of(page)


def said(value, texts):
    """Return a value with its texts instead of their places."""
    return None if value is None else texts["texts"][value]


def reason(place, texts):
    if place is None:
        return None
    why = texts["whys"][place]
    return why["sentence"], why["standing"], [texts["sources"][each] for each in why["sources"]]


def line(each, texts):
    *told, why = each
    return [*(said(part, texts) for part in told), reason(why, texts)]


def step(each, texts):
    shown = {name: said(each[name], texts) for name in ("title", "status", "flag")}
    details = [[said(part, texts) for part in row] for row in each["details"]]
    return shown | {"kind": each["kind"], "details": details, "why": reason(each["why"], texts)}


def told(zone, texts):
    """Return what the panel of a zone shows."""
    lines = {name: [line(each, texts) for each in zone[name]] for name in LINES}
    work = {name: [step(each, texts) for each in zone[name]] for name in STEPS}
    return lines | work | {"verdict": line(zone["verdict"], texts), "note": zone["note"]}


def test_panels_say_the_same(short, long):
    _, parcels = long
    found = [
        told(zone, parcel) for name, parcel in parcels.items() for zone in parcel.get("zones", ())
    ]
    assert found == [told(zone, short) for zone in short["zones"]]


def test_what_is_seen_before_a_panel_opens_is_the_same(short, long):
    block, _ = long
    columns = block["packed"]["columns"]
    for name in ("id", "name", "subtitle"):
        assert columns[name] == [zone[name] for zone in short["zones"]]
    verdicts = [line(each, block) for each in columns["verdict"]]
    assert verdicts == [line(zone["verdict"], short) for zone in short["zones"]]
    for name, letters in block["packed"]["classes"].items():
        assert [ord(each) - ord("b") for each in letters] == [
            zone["classes"][name] for zone in short["zones"]
        ]


def test_shapes_are_the_same(short, long):
    block, parcels = long
    assert areas_of(block["packed"]) == [zone["areas"] for zone in short["zones"]]
    assert middles_of(block["packed"]) == [zone["at"] for zone in short["zones"]]
    assert [x / 100 for x in block["packed"]["radius"]] == [z["radius"] for z in short["zones"]]
    assert [parcels[each["parcel"]] for each in block["layers"]] == short["layers"]


def test_the_days_of_a_zone_lie_with_its_details(short, long):
    block, parcels = long
    rows, places = short["work"]["rows"], short["work"]["of_zone"]
    wanted = [[] if place is None else rows[place] for place in places]
    found = [zone["days"] for parcel in parcels.values() for zone in parcel.get("zones", ())]
    assert found == wanted
    assert any(wanted)
    assert "rows" not in block["work"]
    for day, as_short in zip(block["work"]["days"], short["work"]["days"], strict=True):
        assert [list(accumulate(steps)) for steps in day["zones"]] == as_short["zones"]
        assert day | {"zones": []} == as_short | {"zones": []}


def test_a_parcel_holds_no_more_zones_than_it_may(given):
    _, parcels = packed(*given)
    sizes = [len(each["zones"]) for name, each in parcels.items() if name.startswith("zones-")]
    assert sizes == [ZONES_A_PARCEL, ZONES - ZONES_A_PARCEL]


def test_one_zone_fewer_and_the_page_is_a_short_one():
    made = paper([f"Lawn {at}" for at in range(LONG_FROM)], shapes=grid(LONG_FROM))
    page = data(made, drawing(made), [], {}).encode()
    assert len(block_of(page)["zones"]) == LONG_FROM
    assert parcels_of(page) == {}
