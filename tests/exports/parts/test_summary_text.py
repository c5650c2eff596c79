"""The sentences above a plan, for every sort of site."""

import pytest

from lawnmap.exports.parts import summary_text
from tests.exports.dated import ROWS, VISITS, dated

ONE = ["Back lawn"]


def sentences(given):
    return [each.replace("\xa0", " ") for each in summary_text.sentences(given)]


ROW = ("z0", 1, "mowing", "do", "2027-09-06", "", 1, {})


def test_some_of_the_lawns():
    assert sentences(dated()) == [
        "Of 4 lawns (256 m²), 2 (128 m²) are worked on: "
        "mowing, scarifying, iron against moss and overseeding.",
        "It begins on Monday 6 September 2027 and ends on Monday 4 October 2027, on 5 days.",
        "Left alone: Verge (by choice).",
        "Not to be applied on Back lawn: iron against moss, since what label, law or site rule "
        "require there has not been set.",
    ]


def test_a_home_owner_with_one_lawn():
    assert sentences(dated([ROW], visits=VISITS[:1], names=ONE)) == [
        "Back lawn (64 m²) is worked on: mowing.",
        "It is done on Monday 6 September 2027.",
    ]


def test_all_of_them_and_no_days():
    rows = [(f"z{place}", 1, "mowing", "do", "", "", None, {}) for place in range(4)]
    assert sentences(dated(rows, visits=())) == [
        "All 4 lawns (256 m²) are worked on: mowing.",
        "No days are set for it yet.",
    ]


def test_two_of_two_are_both():
    rows = [(f"z{place}", 1, "mowing", "do", "", "", None, {}) for place in range(2)]
    told = sentences(dated(rows, visits=(), names=["Front lawn", "Back lawn"]))
    assert told[0] == "Both lawns (128 m²) are worked on: mowing."


def test_one_of_several():
    told = sentences(dated([ROW], visits=VISITS[:1]))
    assert told[0] == "Of 4 lawns (256 m²), one is worked on, Front lawn (64 m²): mowing."


def test_no_lawn_at_all():
    given = dated()
    plan = given.plan
    none = type(plan)(**{**vars(plan), "zones": plan.zones.iloc[:0], "steps": plan.steps.iloc[:0]})
    assert sentences(given.of(plan=none)) == ["No lawn is mapped here yet."]


@pytest.mark.parametrize(
    ("verdict", "rule", "told"),
    [
        ("leave it alone", "leave_alone", "It is left alone: little moss and thatch."),
        ("leave it alone", "leave_by_choice", "It is left alone: by choice."),
        ("not for grass", "not_for_grass", "It is left alone: too dark for grass."),
        ("leave it alone", "of_a_plugin", None),
    ],
)
def test_nothing_to_do(verdict, rule, told):
    given = dated([ROWS[6]], visits=(), names=ONE)
    zones = given.plan.zones.assign(verdict=verdict, verdict_rule=rule)
    plan = type(given.plan)(**{**vars(given.plan), "zones": zones})
    found = sentences(given.of(plan=plan))
    assert found == ["Nothing is planned for Back lawn (64 m²).", *([told] if told else [])]


@pytest.mark.parametrize(
    ("names", "told"),
    [
        (ONE, "Back lawn has not been rated yet, so nothing is planned for it."),
        (
            [*ONE, "Verge"],
            "Back lawn and Verge have not been rated yet, so nothing is planned for them.",
        ),
        (list("ABCD"), "4 zones have not been rated yet, so nothing is planned for them."),
    ],
)
def test_nobody_has_looked(names, told):
    given = dated([("z0", 1, "rate it first", "do", "", "", None, {})], visits=(), names=names)
    zones = given.plan.zones.assign(verdict="not rated", verdict_rule="not_rated")
    plan = type(given.plan)(**{**vars(given.plan), "zones": zones})
    assert sentences(given.of(plan=plan)) == [told]


def test_all_is_done():
    done = ("z0", 1, "mowing", "done", "2027-09-06", "", 1, {})
    assert sentences(dated([done], visits=(), names=ONE)) == [
        "All the work that was planned has been done."
    ]


def test_what_has_a_price_alone_is_no_work():
    priced = ("z0", 1, "feeding", "for pricing only", "", "", None, {})
    assert sentences(dated([priced], visits=(), names=ONE)) == [
        "Nothing is planned for Back lawn (64 m²).",
        "For pricing only, not to be applied: feeding.",
    ]


def test_somebody_else_looks_after_it():
    given = dated([ROWS[6]], visits=(), names=ONE, zones={"looked_after_by": ["the tenant"]})
    assert sentences(given)[1] == "It is left alone: others look after it."


def test_little_was_disclosed():
    given = dated()
    bare = type(given.plan)(**{**vars(given.plan), "zones": given.plan.zones[["name", "geometry"]]})
    assert sentences(given.of(plan=bare))[0].startswith("Of 4 lawns, 2 are worked on")


def test_why_it_may_not_be_applied():
    why = "since the grass there is too newly sown for the label."
    rows = [*ROWS[:7], (*ROWS[7][:7], {"rule": "iron_none_new_turf"})]
    assert sentences(dated(rows))[-1] == f"Not to be applied on Back lawn: iron against moss, {why}"


def test_days_of_what_is_only_priced_are_no_days_of_work():
    priced = ("z1", 2, "feeding", "for pricing only", "2027-10-04", "", 1, {})
    told = sentences(dated([ROW, priced], visits=VISITS))
    assert told[1] == "It is done on Monday 6 September 2027."
