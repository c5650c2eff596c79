"""The days of work as the map's slider shows them, counted by hand on four lawns."""

from lawnmap.exports.map.work_days import CLASSES, work_days
from tests.exports.dated import NEW_GRASS, WET, dated
from tests.exports.papers import paper


def test_a_plan_without_days_has_none():
    assert work_days(paper()) == {}


def test_each_day_says_what_is_done_and_what_stays_closed():
    found = work_days(dated())
    assert [each["at"] for each in found["days"]] == [
        "2027-09-06", "2027-09-07", "2027-09-08", "2027-09-09", "2027-10-04",
    ]  # fmt: skip
    assert [each["said"] for each in found["days"]] == [
        "Mowing in Front lawn and Side lawn.",
        "Scarifying in Front lawn.",
        "Scarifying and overseeding in Front lawn.",
        "Iron against moss in Side lawn.",
        "The first cut in Front lawn.",
    ]
    first, _, sown, wet, cut = (each["closed"] for each in found["days"])
    assert first == "No ground stays closed after the work."
    assert sown == f"Closed: Front lawn ({NEW_GRASS}; planned for 4 October 2027)."
    assert f"Side lawn ({WET})" in wet
    assert "Front lawn" in wet
    assert cut == f"Closed: Front lawn ({NEW_GRASS})."


def test_a_zone_has_the_class_of_the_work_that_asks_most():
    days = work_days(dated())["days"]

    def classes(place):
        return {CLASSES[kind]: zones for kind, zones in enumerate(days[place]["zones"]) if zones}

    assert classes(0) == {"mowing": [0, 1]}
    assert classes(2) == {"seed": [0]}
    assert classes(3) == {"resting": [0], "iron": [1]}  # closed, though nothing is done there
    assert classes(4) == {"mowing": [0]}


def test_the_days_of_a_zone_say_until_when_to_keep_off():
    found = work_days(dated())
    assert [place is None for place in found["of_zone"]] == [False, False, True, True]
    assert found["rows"][found["of_zone"][0]] == [
        ["Monday 6 September 2027", "Mowing", ""],
        ["7 September to 8 September 2027, 2 days", "Scarifying", ""],
        ["Wednesday 8 September 2027", "Overseeding", f"{NEW_GRASS} (planned for 4 October 2027)"],
        ["Monday 4 October 2027", "First cut", ""],
    ]


def test_zones_alike_share_their_days():
    names = [f"Lawn {place}" for place in range(4)]
    same = [
        (f"z{place}", 1, "mowing", "do", "2027-09-06", "", 1, {}) for place in range(len(names))
    ]
    found = work_days(dated(same, names=names))
    assert (len(found["rows"]), found["of_zone"]) == (1, [0, 0, 0, 0])
    assert found["days"][0]["said"] == "Mowing in 4 zones."
