"""Changes of both sides are kept; only what both changed in different ways is asked."""

from hypothesis import given
from hypothesis import strategies as st

from lawnmap.processing.replying.threeway import WHOLE, Conflict, merge


def lawn(x=0, **facts):
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [x, 0]},
        "properties": {"feature": "zone", **facts},
    }


def test_what_each_changed_alone_is_kept():
    base = {"a": lawn(moss_rating=2, thatch_mm=10)}
    mine = {"a": lawn(moss_rating=3, thatch_mm=10)}
    theirs = {"a": lawn(x=5, moss_rating=2, thatch_mm=10, name="Back")}
    found = merge(base, mine, theirs)
    assert found.features == {"a": lawn(x=5, moss_rating=3, thatch_mm=10, name="Back")}
    assert found.conflicts == []


def test_a_fact_that_both_changed_is_asked_and_mine_stands():
    base, mine, theirs = ({"a": lawn(moss_rating=n)} for n in (2, 3, 4))
    found = merge(base, mine, theirs)
    assert found.conflicts == [Conflict("a", "moss_rating", 2, 3, 4)]
    assert found.features == mine


def test_both_to_the_same_value_is_no_conflict():
    base, mine, theirs = ({"a": lawn(moss_rating=n)} for n in (2, 3, 3))
    assert merge(base, mine, theirs).conflicts == []


def test_a_fact_taken_away_by_one_and_changed_by_the_other():
    base, mine, theirs = {"a": lawn(note="x")}, {"a": lawn()}, {"a": lawn(note="y")}
    found = merge(base, mine, theirs)
    assert found.conflicts == [Conflict("a", "note", "x", None, "y")]
    assert found.features["a"]["properties"]["note"] == "y"  # not lost while nobody was asked


def test_outlines_that_both_moved():
    found = merge({"a": lawn(0)}, {"a": lawn(1)}, {"a": lawn(2)})
    assert [each.name for each in found.conflicts] == ["geometry"]
    assert found.features == {"a": lawn(1)}


def test_added_and_deleted():
    base = {"a": lawn(), "b": lawn(1)}
    mine = {"b": lawn(1), "c": lawn(2)}
    theirs = {"a": lawn(), "b": lawn(1), "d": lawn(3)}
    assert list(merge(base, mine, theirs).features) == ["b", "c", "d"]


def test_deleted_by_one_and_changed_by_the_other_is_asked_and_kept():
    found = merge({"a": lawn()}, {}, {"a": lawn(name="x")})
    assert found.features == {"a": lawn(name="x")}
    assert [each.name for each in found.conflicts] == [WHOLE]


def test_added_by_both_under_one_key():
    found = merge({}, {"a": lawn(1)}, {"a": lawn(2)})
    assert found.features == {"a": lawn(1)}
    assert [each.name for each in found.conflicts] == [WHOLE]


FACTS = st.dictionaries(st.sampled_from("pqr"), st.sampled_from([None, 0, 1, "x"]), max_size=3)
SITES = st.dictionaries(
    st.sampled_from("abcd"),
    st.builds(lambda x, facts: lawn(x, **facts), st.integers(0, 2), FACTS),
    max_size=4,
)


@given(base=SITES, other=SITES)
def test_one_side_alone_is_just_that_side(base, other):
    for found in (merge(base, other, base), merge(base, base, other), merge(base, other, other)):
        assert found.features == other
        assert found.conflicts == []


@given(base=SITES, mine=SITES, theirs=SITES)
def test_either_way_round_asks_the_same(base, mine, theirs):
    here, there = merge(base, mine, theirs), merge(base, theirs, mine)
    assert {(each.key, each.name) for each in here.conflicts} == {
        (each.key, each.name) for each in there.conflicts
    }
    if not here.conflicts:
        assert here.features == there.features
