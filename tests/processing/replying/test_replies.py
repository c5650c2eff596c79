"""A reply into a site: facts field by field, sketches, places and cores, and what is refused."""

import copy

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.geometry import ellipsoid
from lawnmap.model import Site
from lawnmap.processing.replying.replies import Line, merge
from lawnmap.processing.replying.reply_content import checked
from tests.processing.sites import box, lonlat
from tests.replies import content

SQUARE = [[0, 0], [10, 0], [10, 8], [0, 8]]
EMPTY = {"type": "FeatureCollection", "lawnmap": {"format": 1, "revision": 1}, "features": []}


def zone(zone_id="back", geometry=None, **facts):
    properties = {"feature": "zone", "zone_id": zone_id, **facts}
    return {"type": "Feature", "properties": properties, "geometry": geometry or box(0, 0, 20, 10)}


def site(*features, **header):
    return Site(
        {
            "type": "FeatureCollection",
            "lawnmap": {"format": 1, "revision": 1, **header},
            "features": list(features),
        }
    )


def merged(where, *, take=None, seen=(), skip_bad=False, **said):
    return merge(where, checked(content(**said)), take=take, seen=seen, skip_bad=skip_bad)


def rated(base, now, zone_id="back"):
    return {"zones": [{"zone_id": zone_id, "base": base, "now": now}]}


def facts(result, zone_id="back"):
    return next(
        each["properties"]
        for each in result.site.document["features"]
        if each["properties"].get("zone_id") == zone_id and each["properties"]["feature"] == "zone"
    )


def sketch(**changes):
    return {
        "id": "s1", "name": "Pond lawn", "ring": SQUARE, "at": None, "how": "sides and diagonal",
        "facts": {}, **changes,
    }  # fmt: skip


def core(**changes):
    return {
        "id": "c1", "zone_id": "back", "lonlat": None, "thatch_mm": 14, "moss_hits": 3,
        "moss_points": 10, "date": "2027-03-01", "note": "", **changes,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("mine", "base", "now", "expected", "lines"),
    [
        ({}, None, 3, 3, 1),  # first rating
        ({"moss_rating": 2}, 2, 3, 3, 1),  # only the reply changed it
        ({"moss_rating": 3}, 2, 3, 3, 0),  # both came to the same
        ({"moss_rating": 2}, 2, None, None, 1),  # taken away
        ({"moss_rating": None}, "", 1, 1, 1),  # nothing, written in two ways
        ({"moss_rating": 2.0}, 2, 3, 3, 1),
    ],
)
def test_what_one_side_changed_is_taken(mine, base, now, expected, lines):
    result = merged(site(zone(**mine)), **rated({"moss_rating": base}, {"moss_rating": now}))
    assert facts(result).get("moss_rating") == expected
    assert len(result.lines) == lines
    assert result.conflicts == []


@pytest.mark.parametrize(
    ("take", "expected", "what"),
    [(None, 4, ["conflict"]), ("mine", 4, []), ("theirs", 1, ["changed"])],
)
def test_what_both_changed_is_asked(take, expected, what):
    said = rated({"moss_rating": 2, "wear": "light"}, {"moss_rating": 1, "wear": "heavy"})
    result = merged(site(zone(moss_rating=4, wear="light")), take=take, **said)
    assert facts(result)["moss_rating"] == expected
    assert facts(result)["wear"] == "heavy"
    assert [line.what for line in result.lines if line.field == "moss_rating"] == what
    if take is None:
        assert Line("conflict", "back", "moss_rating", 4, 1) in result.conflicts


def test_a_reply_of_an_older_revision_merges_field_by_field():
    now = site(zone(moss_rating=2, thatch_mm=9, name="Back lawn"), zone("new"), revision=9)
    result = merged(now, **rated({"moss_rating": 2}, {"moss_rating": 5}))
    assert facts(result)["thatch_mm"] == 9
    assert facts(result)["moss_rating"] == 5
    assert result.warnings == []
    assert len(result.site.zones) == 2


def test_a_reply_of_a_revision_that_is_to_come_is_told():
    said = content(site={"id": "", "title": "", "revision": 7})
    assert "from revision 7" in merge(site(zone()), checked(said)).warnings[0]


def test_a_zone_that_is_gone_is_told_with_its_heirs_and_the_rest_is_taken():
    now = site(zone("back-1", came_from="back"), zone("front"))
    said = {"zones": [rated({}, {"moss_rating": 3})["zones"][0],
                      {"zone_id": "front", "base": {}, "now": {"moss_rating": 1}}]}  # fmt: skip
    result = merged(now, **said)
    assert facts(result, "front")["moss_rating"] == 1
    (told,) = result.warnings
    assert "no zone back any longer (now: back-1)" in told
    assert "moss_rating 3" in told


@pytest.mark.parametrize(
    ("now", "problem"),
    [
        ({"moss_rating": 9}, "moss_rating is 9"),
        ({"moss_rating": 2.5}, "whole number"),
        ({"fed_last": "yesterday"}, "YYYY-MM-DD"),
        ({"wear": "awful"}, "wear is 'awful'"),
        ({"thatch_mm": True}, "not a number"),
    ],
)
def test_a_value_that_does_not_fit_is_refused_with_its_place(now, problem):
    with pytest.raises(InputRefused, match="zone back") as caught:
        merged(site(zone()), **rated({}, now))
    assert problem in str(caught.value)


def test_no_reply_renames_a_zone_or_sets_what_is_worked_out():
    now = {
        "zone_id": "other",
        "came_from": "x",
        "ground_area_m2": 3,
        "hidden_gate": "7",
        "wear": "",
    }
    result = merged(site(zone()), **rated({}, now))
    assert facts(result) == {"feature": "zone", "zone_id": "back"}
    assert "zone_id, came_from, ground_area_m2, hidden_gate" in result.warnings[0]


def test_a_sketch_on_an_empty_site_makes_a_site_without_a_place():
    result = merged(Site(copy.deepcopy(EMPTY)), sketches=[sketch(facts={"moss_rating": 3})])
    assert not result.site.placed
    assert result.site.header["anchor"] == [0.0, 0.0]
    zones = result.site.zones
    assert list(zones.index) == ["pond-lawn"]
    # 10 m by 8 m: the area on the ellipsoid of the sketch that was measured
    assert ellipsoid.areas(zones.geometry.to_numpy())[0] == pytest.approx(80, abs=1e-3)
    assert facts(result, "pond-lawn")["outline_source"] == "tape"
    assert facts(result, "pond-lawn")["moss_rating"] == 3


def test_sketches_without_a_place_do_not_lie_over_each_other():
    two = [sketch(), sketch(id="s2", how="paces")]
    result = merged(Site(copy.deepcopy(EMPTY)), sketches=two)
    first, second = result.site.zones.geometry
    assert not first.intersects(second)
    assert list(result.site.zones.index) == ["pond-lawn", "pond-lawn-2"]
    assert any("measured by paces" in each for each in result.warnings)
    assert "outline_source" not in facts(result, "pond-lawn-2")


def test_a_sketch_lies_where_it_was_put():
    at = lonlat((30, 40))[0]
    ring = [[x + 5, y - 2] for x, y in SQUARE]  # its first corner is what was marked
    result = merged(site(zone()), sketches=[sketch(at=at, ring=ring)])
    shape = result.site.zones.geometry["pond-lawn"]
    assert min(shapely.get_coordinates(shape).tolist()) == pytest.approx(at, abs=1e-9)
    assert result.site.placed


def test_a_placed_site_asks_where_a_sketch_lies():
    with pytest.raises(InputRefused, match='sketch 1 "Pond lawn"') as caught:
        merged(site(zone()), sketches=[sketch()])
    assert "--skip-bad" in caught.value.remedy
    result = merged(site(zone()), sketches=[sketch()], skip_bad=True, **rated({}, {"thatch_mm": 4}))
    assert len(result.site.zones) == 1
    assert facts(result)["thatch_mm"] == 4
    assert result.warnings[0].startswith("Left out: sketch 1")


@pytest.mark.parametrize(
    ("changes", "problem"),
    [
        ({"ring": [[0, 0], [10, 8], [10, 0], [0, 8]]}, "crosses itself"),
        ({"ring": [[0, 0], [10, 0], [20, 0]]}, "the ground"),
        ({"at": [60, 10]}, "more than 5 km"),
        ({"facts": {"moss_rating": 7}}, "moss_rating"),
    ],
)
def test_a_sketch_that_cannot_be_is_refused(changes, problem):
    given_at = {"at": lonlat((30, 40))[0], **changes}
    with pytest.raises(InputRefused) as caught:
        merged(site(zone()), sketches=[sketch(**given_at)])
    if problem != "the ground":  # a line is told by whichever check meets it first
        assert problem in str(caught.value)


def test_facts_and_cores_may_speak_of_a_sketch():
    result = merged(
        Site(copy.deepcopy(EMPTY)),
        sketches=[sketch()],
        cores=[core(zone_id="s1")],
        **rated({}, {"thatch_rating": 2}, "s1"),
    )
    assert facts(result, "pond-lawn")["thatch_rating"] == 2
    assert list(result.site.features["zone_id"]) == ["pond-lawn"]


def test_a_core_without_a_place_is_put_into_its_zone_and_that_is_told():
    result = merged(site(zone()), cores=[core(note="soft")])
    (made,) = [f for f in result.site.document["features"] if f["properties"]["feature"] == "core"]
    assert shapely.geometry.shape(made["geometry"]).within(result.site.zones.geometry["back"])
    assert made["properties"]["thatch_mm"] == 14
    assert made["properties"]["private_note"] == "soft"
    assert "put in its middle" in result.warnings[0]


def test_a_core_is_where_it_was_taken():
    at = lonlat((3, 3))[0]
    result = merged(site(zone()), cores=[core(lonlat=at)])
    assert result.site.document["features"][-1]["geometry"] == {"type": "Point", "coordinates": at}
    assert result.warnings == []


@pytest.mark.parametrize(
    "changes", [{"moss_hits": 11}, {"moss_points": None}, {"zone_id": "gone"}, {"thatch_mm": 900}]
)
def test_a_core_that_cannot_be_is_refused(changes):
    with pytest.raises(InputRefused, match="core 1"):
        merged(site(zone()), cores=[core(**changes)])


def test_what_an_earlier_reply_added_is_not_added_again():
    said = {
        "sketches": [sketch(at=lonlat((30, 40))[0])],
        "cores": [core(), core(id="c2", zone_id="s1")],
    }
    once = merged(site(zone()), **said)
    again = merged(once.site, seen={"s1", "c1", "c2"}, **said, **rated({}, {"wear": "light"}, "s1"))
    assert len(again.site.document["features"]) == len(once.site.document["features"])
    assert facts(again, "pond-lawn")["wear"] == "light"


def test_a_place_is_added_once():
    place = {"feature": "hidden", "lonlat": lonlat((1, 1))[0], "zone_id": "",
             "facts": {"hidden_kind": "cable", "depth_mm": 80}}  # fmt: skip
    once = merged(site(zone()), places=[place])
    assert once.site.features.iloc[0]["hidden_kind"] == "cable"
    assert len(merged(once.site, places=[place]).site.features) == 1


def test_a_reply_for_another_site_is_refused():
    for own, theirs in (("0" * 16, ""), ("", "0" * 16), ("0" * 16, "1" * 16)):
        said = content(site={"id": theirs, "title": "Other", "revision": 1})
        with pytest.raises(InputRefused, match="another site"):
            merge(site(zone(), site_id=own), checked(said))


@pytest.mark.parametrize(
    ("changes", "problem"),
    [
        ({"photos": []}, "'photos'"),
        ({"kind": "letter"}, "kind"),
        ({"at": "2027-02-30T10:00:00Z"}, "at"),
        ({"at": "yesterday"}, "at"),
        ({"issued": "../../etc"}, "issued"),
        ({"site": None}, "site"),
        ({"zones": {}}, "zones"),
        ({"zones": [{"zone_id": "../x", "base": {}, "now": {}}]}, "zones 1, zone_id"),
        ({"zones": [{"zone_id": "a", "base": {}, "now": {"wear": ["x"]}}]}, "zones 1, now"),
        ({"zones": [{"zone_id": "a", "base": {}, "now": {}}] * 2}, "stands twice"),
        ({"comments": [{"id": "k", "zone_id": "", "text": "x" * 5001}]}, "comments 1, text"),
        ({"comments": [{"id": "k", "text": "x"}] * 5001}, "at most 5,000"),
        ({"work": [{"id": "w", "date": "2027-13-01"}]}, "work 1, date"),
        ({"cores": [{"id": "c", "date": "2027-03-01", "thatch_mm": -1}]}, "cores 1, thatch_mm"),
        ({"sketches": [sketch(ring=[[0, 0], [1, 1]])]}, "sketches 1, ring"),
        ({"sketches": [sketch(ring=[[0, 0], [1, 1], [1e9, 0]])]}, "sketches 1, ring"),
        ({"sketches": [sketch(at=[200, 0])]}, "sketches 1, at"),
        ({"places": [{"feature": "zone"}]}, "places 1, feature"),
        ({"answers": {"q": 3}}, "answers"),
    ],
)
def test_what_no_reply_holds_is_refused_with_its_place(changes, problem):
    with pytest.raises(InputRefused) as caught:
        checked(content(**changes))
    assert problem in str(caught.value)


def test_unknown_fields_are_left_alone_and_told():
    reply = checked(content(comments=[{"id": "k", "zone_id": "", "text": "a", "colour": "red"}]))
    assert reply.ignored == ("comments: colour",)


def test_control_characters_are_taken_out_of_text():
    said = {"id": "k", "zone_id": "", "text": "\x1b[31mred\x07\r\nnext\u0085"}
    reply = checked(content(comments=[said], by="Ann\x00\nB"))
    assert reply.comments[0]["text"] == "[31mred\nnext"
    assert reply.by == "Ann B"


VALUES = st.sampled_from([None, 0, 1, 2, 3])


@given(base=VALUES, mine=VALUES, theirs=VALUES)
def test_three_states_of_a_field_always_come_to_one_of_them(base, mine, theirs):
    have = {} if mine is None else {"moss_rating": mine}
    result = merged(site(zone(**have)), **rated({"moss_rating": base}, {"moss_rating": theirs}))
    found = facts(result).get("moss_rating")
    expected = theirs if mine == base else mine
    assert found == expected
    assert bool(result.conflicts) == (mine not in (base, theirs) and theirs != base)
