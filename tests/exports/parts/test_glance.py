"""The first screen: a grounds manager's questions in their order, answered or said to be open."""

import re

import pandas as pd
import pytest

from lawnmap.exports.parts.glance import glance
from lawnmap.exports.parts.shut import MOST_LINES, shut
from lawnmap.exports.wording.listing import numbered
from tests.exports.dated import NEW_GRASS, ROWS, WET, dated
from tests.exports.papers import IRON

ORDER = [
    "days", "keep_off", "goes_on", "applied_by", "considered", "water", "hidden", "contact", "file",
]  # fmt: skip


def answers(given):
    """Return what stands under each question, without markup."""
    found = re.findall(r'<div class="(\w+)"><dt>.*?</dt><dd>(.*?)</dd></div>', glance(given))
    return {key: re.sub(r"<[^>]+>", " ", shown).replace("\xa0", " ") for key, shown in found}


def with_totals(**cells):
    row = {"product": IRON, "operation": "iron_soluble", "status": "do"} | cells
    given = dated(zones={"causes": ["worn; shade (5 h)", "worn", "", ""],
                         "stop_it_rules": ["a", "b", "", ""]})  # fmt: skip
    plan = type(given.plan)(**{**vars(given.plan), "totals": pd.DataFrame([row])})
    return given.of(plan=plan)


def test_the_questions_stand_in_their_order():
    assert list(answers(with_totals())) == ORDER
    crew = with_totals().of(audience="crew")
    assert list(answers(crew)) == [*ORDER[:4], "water", "hidden", "contact", "lawn"]


def test_which_ground_is_closed_when():
    assert shut(dated()) == {
        NEW_GRASS: ["8 September to 4 October 2027: Front lawn"],
        WET: ["9 September 2027: Side lawn"],
    }
    undated = [(*row[:4], "", "", None, row[7]) for row in ROWS]
    assert shut(dated(undated, visits=()))[WET] == ["day not set yet: Side lawn"]


def test_many_times_are_counted():
    rows = [
        ("z1", 1, "iron_soluble", "do", f"2027-09-{day:02}", "", 1, {"keep_off": WET})
        for day in range(1, 10)
    ]
    lines = shut(dated(rows))[WET]
    assert len(lines) == MOST_LINES + 1
    assert lines[-1] == "5 times more: see the days of work"


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        (
            {"authorisation_no": "INVENTED 1", "use_by": "2028-12-31"},
            "Authorisation INVENTED 1, as its card says; to be used until Sunday 31 December 2028.",
        ),
        ({"authorisation_no": "INVENTED 1"}, "no last day of use on the card."),
        ({"authorisation_no": ""}, "not on the card: authorisation number, check before use"),
    ],
)
def test_what_goes_on_and_whether_its_card_allows_it(cells, told):
    assert told in answers(with_totals(**cells))["goes_on"]


def test_seed_needs_no_authorisation():
    given = with_totals(operation="overseeding", authorisation_no="")
    assert "authorisation" not in answers(given)["goes_on"].lower()


def test_why_and_what_else_was_considered():
    skipped = ("z2", 2, "top_dressing", "not needed", "", "", None, {})
    given = with_totals()
    steps = pd.concat([given.plan.steps, dated([skipped]).plan.steps])
    plan = type(given.plan)(**{**vars(given.plan), "steps": steps})
    told = answers(given.of(plan=plan))["considered"]
    assert "worn (2) and shade (1)." in told
    assert "Considered and left out: top-dressing (1)." in told


def test_nobody_looked_for_a_cause():
    given = dated(zones={"causes": ["none seen yet"] * 4, "stop_it_rules": ["stop_unseen"] * 4})
    assert answers(given)["considered"].strip().startswith("No cause of the moss has been noted")


def test_who_applies_it_and_what_to_file():
    named = dated(choices={"applied_by": "A. Sward (invented)"})
    assert answers(named)["applied_by"].strip() == "A. Sward (invented)"
    assert answers(dated())["applied_by"].strip() == "not filled in"
    assert "file the PDF" in answers(dated())["file"]
    assert "trial copy" in answers(dated(issued=""))["file"]


def test_water_is_never_passed_over():
    assert "walk the ground" in answers(dated())["water"]


def test_what_is_hidden_is_no_drain_and_makes_nobody_forget_to_ask_for_water():
    here = {"type": "Point", "coordinates": [3.0001, 55.0001]}
    wire = {"feature": "hidden", "hidden_kind": "mower wire", "name": "Boundary wire"}
    given = dated()
    site = given.plan.site
    there = [*site.document["features"], {"type": "Feature", "properties": wire, "geometry": here}]
    plan = type(given.plan)(**{**vars(given.plan), "site": site.with_features(there)})
    told = answers(given.of(plan=plan))
    assert told["hidden"].strip() == "Boundary wire"
    assert "no water, well or drain is mapped" in told["water"]
    assert "before blades" in answers(given)["hidden"]


def test_agreeing_without_scripts_is_by_reply_with_a_line_to_sign():
    shown = glance(dated(issued="issue 3"))
    live, still = shown.split('class="live"')[1].split('<span class="still">')
    assert "Your comments" in live
    assert "Your comments" not in still
    assert "name issue 3" in still.replace("\xa0", " ")
    assert still.count('<span class="line"></span>') == 2


@pytest.mark.parametrize(
    ("status", "first", "told"),
    [
        ("do", "2030-08-23", True),
        ("do", "2020-01-01", False),  # past
        ("done", "2030-08-23", False),  # nothing left to do
    ],
)
def test_a_first_day_is_told_while_there_is_work_to_come(status, first, told):
    row = ("z0", 1, "mowing", status, "", "", None, {})
    given = dated([row], visits=(), choices={"first_day": first})
    assert ("first_day" in answers(given)) is told


def test_closed_ground_is_named_or_numbered():
    rows = [
        (f"z{place}", 1, "iron_soluble", "do", "2027-09-09", "", 1, {"keep_off": WET})
        for place in range(4)
    ]
    told = "9 September 2027: Front lawn, Side lawn, Verge and Back lawn"
    assert shut(dated(rows)) == {WET: [told]}
    many = {number: f"Lawn {number}" for number in (*range(1, 10), 12)}
    assert numbered(many) == "zones 1-9 and 12"
    odd = {number: f"Lawn {number}" for number in range(1, 24, 2)}
    assert numbered(odd) == "zones 1, 3, 5, 7, 9, 11, 13, 15 and 4 more"
