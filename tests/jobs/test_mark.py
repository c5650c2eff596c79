"""Two pages on one site, drafts that a crash left, and saves that lose nobody's edit."""

import json

import pytest

from lawnmap.errors import Busy, InputRefused
from lawnmap.jobs.mark import Clash, Marking
from lawnmap.processing.editing.keyed import difference, keyed, paired
from lawnmap.store import site as site_store
from lawnmap.store.draft import Kept, held
from tests.web.desks import feature, made, point, square, zone


def changed(old, **properties):
    return {**old, "properties": {**old["properties"], **properties}}


@pytest.fixture
def folder(tmp_path):
    return made(
        tmp_path / "garden",
        zone("front", moss_rating=3),
        point("tree", 3, 3, name="Old pear"),
        zone("back", 10),
        point("tree", 12, 3, name="Young pear"),
    )


@pytest.fixture
def two(folder):
    with held(folder) as one, held(folder) as other:
        pages = Marking(folder, one), Marking(folder, other)
        for page in pages:
            page.show()
        yield pages


def now(folder):
    return keyed(site_store.load(folder).document["features"])


def test_what_each_changed_alone_is_kept(two, folder):
    mine, theirs = two
    there = now(folder)
    theirs.save(
        1,
        {
            "front": changed(there["front"], thatch_mm=14),
            "f1": None,
            "n1": feature("bed", square(30, 0), name="Roses"),
        },
        {},
    )
    reply = mine.save(
        1,
        {
            "front": changed(there["front"], moss_rating=5),
            "f2": changed(there["f2"], stem_m=0.2),
            "n1": feature("bed", square(40, 0), name="Lilies"),
        },
        {},
    )
    assert reply.site.revision == 3
    facts = now(folder)["front"]["properties"]
    assert (facts["moss_rating"], facts["thatch_mm"]) == (5, 14)
    names = [each["properties"]["name"] for each in now(folder).values()]
    assert names == ["Front", "Back", "Young pear", "Roses", "Lilies"]
    assert reply.features["f1"]["properties"]["stem_m"] == 0.2
    assert reply.names["f2"] == "f1"


def test_what_both_changed_is_asked_and_then_stands_as_chosen(two, folder):
    mine, theirs = two
    front = now(folder)["front"]
    theirs.save(1, {"front": changed(front, moss_rating=1, public_note="wet")}, {})
    change = {"front": changed(front, moss_rating=5, public_note="dry", wear="light")}
    with pytest.raises(Clash) as caught:
        mine.save(1, change, {})
    conflicts = {each["field"]: each for each in caught.value.beside["conflicts"]}
    assert conflicts["moss_rating"] == {
        "key": "front", "field": "moss_rating", "base": 3, "mine": 5, "theirs": 1
    }  # fmt: skip
    assert set(conflicts) == {"moss_rating", "public_note"}
    assert dict(caught.value.beside["features"])["front"]["properties"]["moss_rating"] == 1
    with pytest.raises(Clash):
        mine.save(1, change, {"front": {"moss_rating": "mine"}})
    mine.save(1, change, {"front": {"moss_rating": "mine", "public_note": "theirs"}})
    facts = now(folder)["front"]["properties"]
    assert (facts["moss_rating"], facts["public_note"], facts["wear"]) == (5, "wet", "light")
    assert not list(folder.path.glob("site.mine*"))


def test_a_choice_is_only_of_what_was_shown(two, folder):
    mine, theirs = two
    front = now(folder)["front"]
    change, choice = {"front": changed(front, moss_rating=5)}, {"front": {"moss_rating": "mine"}}
    theirs.save(1, {"front": changed(front, moss_rating=1)}, {})
    with pytest.raises(Clash):
        mine.save(1, change, choice)  # nobody showed it yet
    theirs.save(2, {"front": changed(front, moss_rating=2)}, {})
    with pytest.raises(Clash) as caught:
        mine.save(1, change, choice)
    assert caught.value.beside["conflicts"][0]["theirs"] == 2
    assert mine.save(1, change, choice).features["front"]["properties"]["moss_rating"] == 5


@pytest.mark.parametrize(("side", "left"), [("mine", False), ("theirs", True)])
def test_taken_away_here_and_changed_there(two, folder, side, left):
    mine, theirs = two
    theirs.save(1, {"back": changed(now(folder)["back"], moss_rating=4)}, {})
    with pytest.raises(Clash) as caught:
        mine.save(1, {"back": None}, {})
    (conflict,) = caught.value.beside["conflicts"]
    assert (conflict["field"], conflict["mine"]) == ("feature itself", None)
    reply = mine.save(1, {"back": None}, {"back": {"feature itself": side}})
    assert ("back" in reply.features) is left


def test_two_new_zones_of_one_id_are_both_kept(two, folder):
    mine, theirs = two
    theirs.save(1, {"new": zone("new", 40)}, {})
    reply = mine.save(1, {"new": zone("new", 60)}, {})
    assert {"new", "new-2"} <= reply.features.keys()
    assert reply.features["new-2"]["geometry"] == zone("new", 60)["geometry"]
    assert reply.names["new-2"] == "new-2"


def test_an_older_base_is_found_among_the_backups(folder):
    front = now(folder)["front"]
    with held(folder) as draft:
        Marking(folder, draft).save(1, {"front": changed(front, wear="light")}, {})
        fresh = Marking(folder, draft)  # the server was started again; the page was not
        fresh.save(1, {"front": changed(front, moss_rating=4)}, {})
        facts = now(folder)["front"]["properties"]
        assert (facts["moss_rating"], facts["wear"]) == (4, "light")
        for path in folder.backups.iterdir():
            path.unlink()
        with pytest.raises(Busy, match="no longer kept"):
            Marking(folder, draft).save(1, {"front": changed(front, moss_rating=0)}, {})


def test_a_draft_of_an_older_revision_is_brought_up_and_asks(folder):
    there = now(folder)
    with held(folder) as draft:
        draft.keep(
            Kept(
                1,
                {
                    "front": changed(there["front"], moss_rating=5, wear="heavy"),
                    "f2": changed(there["f2"], stem_m=0.3),
                },
            )
        )
    site = site_store.load(folder)
    others = [each for key, each in there.items() if key not in {"front", "f1"}]
    front = changed(there["front"], moss_rating=1, public_note="wet")
    site_store.save(folder, site.with_features([front, *others]))
    with held(folder) as draft:
        page = Marking(folder, draft)
        shown = page.show()
        assert shown.draft.revision == 2
        assert set(shown.draft.changes) == {"front", "f1"}  # what was f2 is the first thing now
        assert shown.draft.changes["front"]["properties"]["public_note"] == "wet"
        with pytest.raises(Clash) as caught:
            page.save(2, shown.draft.changes, {})
        (conflict,) = caught.value.beside["conflicts"]
        assert (conflict["base"], conflict["mine"], conflict["theirs"]) == (3, 5, 1)
        page.save(2, shown.draft.changes, {"front": {"moss_rating": "theirs"}})
        assert page.show().draft is None
    facts = now(folder)["front"]["properties"]
    assert (facts["moss_rating"], facts["wear"]) == (1, "heavy")
    assert now(folder)["f1"]["properties"]["stem_m"] == 0.3


def test_a_draft_that_was_saved_before_the_crash_is_gone(folder):
    change = {"front": changed(now(folder)["front"], moss_rating=5), "n1": point("supply", 1, 1)}
    with held(folder) as draft:
        Marking(folder, draft).save(1, change, {})
        draft.keep(Kept(1, change))  # as it was when the power went between the two
        assert Marking(folder, draft).show().draft is None


def test_what_nobody_knows_the_base_of_is_asked(folder):
    there = now(folder)
    with held(folder) as draft:
        draft.keep(Kept(77, {"front": changed(there["front"], moss_rating=5)}))
        page = Marking(folder, draft)
        shown = page.show()
        with pytest.raises(Clash) as caught:
            page.save(1, shown.draft.changes, {})
        assert [each["field"] for each in caught.value.beside["conflicts"]] == ["moss_rating"]


def test_nothing_changed_is_no_revision(folder):
    with held(folder) as draft:
        page = Marking(folder, draft)
        assert page.save(1, {}, {}).site.revision == 1
        assert page.save(1, {"front": now(folder)["front"]}, {}).site.revision == 1


def test_a_save_that_is_refused_changes_nothing_and_keeps_the_draft(folder):
    before = folder.site.read_bytes()
    with held(folder) as draft:
        page = Marking(folder, draft)
        bad = {"front": changed(now(folder)["front"], moss_rating=9)}
        page.keep(1, bad)
        with pytest.raises(InputRefused, match="outside"):
            page.save(1, bad, {})
        assert page.show().draft.changes == bad
    assert folder.site.read_bytes() == before


def test_what_lawnmap_does_not_know_is_kept(tmp_path):
    strange = {**zone("front", mowed_by="a neighbour", Moss_Rating="old"), "id": 7}
    folder = made(tmp_path / "garden", strange)
    with held(folder) as draft:
        Marking(folder, draft).save(1, {"front": changed(strange, wear="light")}, {})
    kept = now(folder)["front"]
    assert kept["id"] == 7
    assert kept["properties"]["mowed_by"] == "a neighbour"
    assert kept["properties"]["Moss_Rating"] == "old"


def test_keys_pass_over_zone_ids_and_pair_what_is_the_same():
    features = [point("tree", 1, 1), zone("f1"), point("tree", 2, 2)]
    base = keyed(features)
    assert list(base) == ["f2", "f1", "f3"]
    moved = {**features[2], "geometry": point("tree", 9, 9)["geometry"]}
    found = paired([moved, features[1], point("tree", 5, 5), features[0]], base, base)
    assert found["f2"] == features[0]
    assert found["f3"] == moved
    assert json.dumps(found["f4"]) == json.dumps(point("tree", 5, 5))
    assert difference(base, found).keys() == {"f3", "f4"}
