"""Nobody's edit is lost: what one side changed alone stands, and the rest is asked."""

from hypothesis import given
from hypothesis import strategies as st

from lawnmap.processing.editing.keyed import applied, keyed
from lawnmap.processing.editing.meeting import brought_up, meet, settled
from lawnmap.processing.replying.threeway import WHOLE

FACTS = ("moss_rating", "thatch_mm", "public_note")


def feature(kind, number, facts=(), **named):
    return {
        "type": "Feature",
        "properties": {"feature": kind, **dict(facts), **named},
        "geometry": {"type": "Point", "coordinates": [number, number]},
    }


BASE = keyed(
    [
        feature("zone", 1, {"moss_rating": 1}, zone_id="a"),
        feature("tree", 2, name="pear"),
        feature("zone", 3, {"moss_rating": 2, "thatch_mm": 9}, zone_id="b"),
        feature("tree", 4, name="plum"),
    ]
)
EDIT = st.one_of(st.none(), st.dictionaries(st.sampled_from(FACTS), st.integers(0, 3)))
EDITS = st.dictionaries(st.sampled_from(sorted(BASE)), EDIT)


def changes(edits):
    """Return changes that set facts, or take a feature away."""
    made = {}
    for key, facts in edits.items():
        old = BASE[key]
        made[key] = (
            facts if facts is None else {**old, "properties": {**old["properties"], **facts}}
        )
    return made


def settle_all(met, side):
    features = met.features
    for each in met.conflicts:
        features = settled(features, each, side)
    return features


@given(EDITS, EDITS)
def test_what_one_side_changed_alone_stands(mine, theirs):
    there = list(applied(BASE, changes(theirs)).values())
    met = meet(there, BASE, changes(mine))
    asked = {(each.key, each.name) for each in met.conflicts}
    for key, old in BASE.items():
        one, other = mine.get(key, {}), theirs.get(key, {})
        if (key, WHOLE) in asked:
            assert None in (one, other)
            continue
        if one is None or other is None:
            assert key not in met.features
            continue
        for name in FACTS:
            before = old["properties"].get(name)
            here, there_ = one.get(name, before), other.get(name, before)
            assert ((key, name) in asked) == (here != before != there_ != here)
            found = met.features[key]["properties"].get(name)
            assert found == (there_ if here == before else here)


@given(EDITS, EDITS, st.sampled_from(["mine", "theirs"]))
def test_a_settled_meeting_sent_again_changes_nothing(mine, theirs, side):
    there = list(applied(BASE, changes(theirs)).values())
    once = settle_all(meet(there, BASE, changes(mine)), side)
    again = settle_all(meet(once.values(), BASE, changes(mine)), side)
    if side == "mine":
        assert list(again.values()) == list(once.values())
    assert len(again) == len(once)


@given(EDITS, EDITS)
def test_a_draft_brought_up_asks_the_same(mine, theirs):
    features = keyed(applied(BASE, changes(theirs)).values())
    direct = meet(features.values(), BASE, changes(mine))
    made, base = brought_up(changes(mine), BASE, features)
    later = meet(features.values(), base, made)
    assert list(later.features.values()) == list(direct.features.values())
    kept = [
        (each.name, each.mine, each.theirs) for each in direct.conflicts if each.mine is not None
    ]
    asked = [(each.name, each.mine, each.theirs) for each in later.conflicts]
    assert sorted(asked, key=repr) == sorted(kept, key=repr)  # in which order does not matter


def test_a_new_thing_keeps_clear_of_a_key_that_went_to_another():
    there = [*BASE.values(), feature("supply", 8)]
    features = keyed(there)
    made, base = brought_up({"f3": feature("bed", 9)}, BASE, features)
    (new,) = made
    assert new not in features
    met = meet(there, base, made)
    assert [each["properties"]["feature"] for each in met.features.values()][-2:] == [
        "supply",
        "bed",
    ]
    assert not met.conflicts
