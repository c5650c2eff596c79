"""A reply into a site folder: facts, record and reply in one save, and the plan that follows."""

import datetime as dt
import json
import re
import shutil

import pytest

from lawnmap.errors import Busy, InputRefused
from lawnmap.files.admit import Source
from lawnmap.jobs import said
from lawnmap.jobs.assess import assess
from lawnmap.jobs.choices import choices
from lawnmap.jobs.issue import issue
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan
from lawnmap.jobs.reply import read_reply
from lawnmap.jobs.start import start
from lawnmap.store import record as record_store
from lawnmap.store import site as site_store
from lawnmap.store.folder import Folder
from tests.cli.runner import run
from tests.replies import mailed, reply

TODAY = dt.date(2027, 3, 1)
ZONE = "front-west"


@pytest.fixture
def garden(tmp_path):
    return start(tmp_path / "garden", sample=True).folder


def header(folder):
    return site_store.load(folder).header


def visit(folder, **changes):
    known = header(folder)
    about = {"id": known["site_id"], "title": known["title"], "revision": 1}
    return Source("reply.json", reply(site=about, **changes), "reply")


def rated(base, now):
    return [{"zone_id": ZONE, "base": base, "now": now}]


def facts(folder):
    features = site_store.load(folder).document["features"]
    return next(f["properties"] for f in features if f["properties"].get("zone_id") == ZONE)


def files(folder):
    return {
        path.relative_to(folder.path).as_posix(): path.read_bytes()
        for path in folder.path.rglob("*")
        if path.is_file() and ".lawnmap" not in path.parts
    }


def mowing(**changes):
    return {
        "id": "w1", "zone_id": ZONE, "operation": "mowing", "application": "", "unit": "",
        "date": "2027-02-20", "amount": None, "note": "=dry", **changes,
    }  # fmt: skip


def test_every_site_gets_an_id_of_its_own(tmp_path, garden):
    other = start(tmp_path / "other").folder
    ids = {header(garden)["site_id"], header(other)["site_id"]}
    assert len(ids) == 2
    assert all(re.fullmatch("[0-9a-f]{16}", each) for each in ids)


def test_a_visit_changes_site_record_and_replies_at_once(garden):
    source = visit(
        garden,
        zones=rated({"moss_rating": 2}, {"moss_rating": 5}),
        work=[mowing()],
        answers={"Dog?": "yes"},
    )
    done = read_reply(source, garden.path)
    assert done.saved
    assert header(garden)["revision"] == 2
    assert facts(garden)["moss_rating"] == 5
    assert (garden.replies / f"{done.digest}.json").is_file()
    (row,) = record_store.read(garden).rows
    assert row["record_id"] == "w1"
    assert row["reply_id"] == done.digest
    assert row["note"] == "=dry"
    assert float(row["area_m2"]) > 100
    assert row["by"] == "Ann Example"


def test_the_same_reply_again_changes_nothing_and_says_so(garden):
    source = visit(garden, zones=rated({"moss_rating": 2}, {"moss_rating": 5}), work=[mowing()])
    read_reply(source, garden.path)
    before = files(garden)
    for again in (source, Source("mail.txt", mailed(source.data, quote="> "), "reply")):
        done = read_reply(again, garden.path)
        assert done.known
        assert not done.saved
        assert files(garden) == before


def test_a_later_reply_with_the_same_things_adds_only_what_is_new(garden):
    core = {"id": "c1", "zone_id": ZONE, "lonlat": None, "thatch_mm": 12, "moss_hits": None,
            "moss_points": None, "date": "2027-03-01", "note": ""}  # fmt: skip
    read_reply(visit(garden, cores=[core], work=[mowing()]), garden.path)
    more = [mowing(), mowing(id="w2", date="2027-02-27")]
    done = read_reply(visit(garden, cores=[core, {**core, "id": "c2"}], work=more), garden.path)
    assert [row["record_id"] for row in done.recorded] == ["w2"]
    assert len(record_store.read(garden).rows) == 2
    made = [f["properties"].get("from_reply") for f in site_store.load(garden).document["features"]]
    assert made.count("c1") == made.count("c2") == 1


def test_a_conflict_stays_until_somebody_chooses(garden):
    source = visit(
        garden, zones=rated({"moss_rating": 2, "wear": None}, {"moss_rating": 5, "wear": "light"})
    )
    assess(garden.path, {ZONE: {"moss_rating": 4}})
    done = read_reply(source, garden.path)
    assert [(line.before, line.after) for line in done.conflicts] == [(4, 5)]
    assert facts(garden)["moss_rating"] == 4
    assert facts(garden)["wear"] == "light"
    chosen = read_reply(source, garden.path, take="theirs")
    assert chosen.saved
    assert facts(garden)["moss_rating"] == 5
    assert not read_reply(source, garden.path, take="theirs").saved


def test_a_dry_run_shows_all_and_saves_nothing(garden):
    before = files(garden)
    source = visit(garden, zones=rated({"moss_rating": 2}, {"moss_rating": 5}), work=[mowing()])
    done = read_reply(source, garden.path, dry_run=True)
    assert len(done.lines) == 1
    assert len(done.recorded) == 1
    assert files(garden) == before


@pytest.mark.parametrize("change", ["tampered", "foreign", "value", "place"])
def test_what_is_refused_changes_nothing(garden, change):
    if change == "tampered":
        source = visit(garden, zones=rated({}, {"moss_rating": 5}))
        source = Source(source.name, source.data.replace(b"5", b"4", 1), "reply")
    elif change == "foreign":
        source = Source(
            "reply.json", reply(site={"id": "f" * 16, "title": "", "revision": 1}), "reply"
        )
    elif change == "value":
        source = visit(garden, zones=rated({}, {"moss_rating": 99}), work=[mowing()])
    else:
        source = visit(garden, work=[mowing()], sketches=[
            {"id": "s", "name": "New", "ring": [[0, 0], [9, 0], [9, 9]], "at": None, "how": "paces",
             "facts": {}}])  # fmt: skip
    before = files(garden)
    with pytest.raises(InputRefused) as caught:
        read_reply(source, garden.path)
    assert str(caught.value).startswith("reply.json: ")
    assert "Nothing was changed." in str(caught.value)
    assert files(garden) == before


def test_somebody_elses_save_in_between_is_not_overwritten(garden, monkeypatch):
    source = visit(garden, zones=rated({"moss_rating": 2}, {"moss_rating": 5}), work=[mowing()])
    real = site_store.save

    def late(folder, site, **others):
        monkeypatch.setattr(site_store, "save", real)
        assess(folder.path, {ZONE: {"wear": "heavy"}})
        return real(folder, site, **others)

    monkeypatch.setattr(site_store, "save", late)
    with pytest.raises(Busy):
        read_reply(source, garden.path)
    assert not garden.record.exists()
    assert not garden.replies.exists()
    assert facts(garden)["wear"] == "heavy"
    assert read_reply(source, garden.path).saved


def test_a_first_visit_makes_the_site(tmp_path):
    folder = start(tmp_path / "new", title="New").folder
    ring = [[0, 0], [12, 0], [12, 5], [0, 5]]
    sketch = {"id": "s", "name": "Back", "ring": ring, "at": None, "how": "sides and diagonal",
              "facts": {"moss_rating": 4, "thatch_rating": 1}}  # fmt: skip
    assert read_reply(visit(folder, sketches=[sketch]), folder.path).saved
    measured = run("measure", folder.path, "--json").json["result"]
    assert measured[0]["outline_area_m2"] == pytest.approx(60, abs=1e-3)


def test_the_plan_follows_the_visit(garden):
    def steps():
        rows = run("plan", garden.path, "--today", TODAY.isoformat(), "--json").json["result"]
        text = json.dumps([row for row in rows["steps"] if row["zone_id"] == ZONE])
        return text, next(row for row in rows["zones"] if row["zone_id"] == ZONE)

    before, zone_before = steps()
    read_reply(
        visit(
            garden,
            zones=rated({"moss_rating": 2, "thatch_mm": 11}, {"moss_rating": 0, "thatch_mm": 4}),
        ),
        garden.path,
    )
    after, zone_after = steps()
    assert before != after
    assert zone_before != zone_after


def test_agreements_are_told_with_what_has_changed_since(garden):
    opened = open_site(garden.path)
    found = choices(opened, depot=None, personal=garden.path, today=TODAY)
    agreed = {"zone_id": "", "name": "Ben Example", "conditions": "no noise before nine"}
    first, _ = issue(garden, plan(opened.site, found, today=TODAY), audience="client", name="Ben")
    read = read_reply(
        visit(garden, kind="comments", issued=first.id, agreements=[{**agreed, "issued": first.id}],
              comments=[{"id": "k", "zone_id": ZONE, "text": "Mind the bulbs\nplease"}]),
        garden.path,
    )  # fmt: skip
    assert read.warnings == []
    comment, agreement = said.said(garden)[0]
    assert (comment.zone_id, comment.what) == (
        ZONE, "Ann Example on 2027-03-01: Mind the bulbs / please",
    )  # fmt: skip
    assert agreement.what.endswith("on condition: no noise before nine")
    assess(garden.path, {ZONE: {"moss_rating": 4}})
    later = open_site(garden.path)
    second, _ = issue(garden, plan(later.site, found, today=TODAY), audience="client", name="Ben")
    told = said.said(garden)[0][-1].what
    assert f"plan {first.id}" in told
    assert f"plan {second.id} was issued since: changed: the site" in told


def test_an_agreement_to_no_plan_of_this_site_is_told(garden):
    agreed = {"zone_id": "", "name": "Ben", "conditions": "", "issued": "0123456789ab"}
    done = read_reply(visit(garden, agreements=[agreed, {**agreed, "issued": ""}]), garden.path)
    assert "has not issued" in done.warnings[0]
    assert "trial copy" in done.warnings[1]
    assert done.kept


def test_on_the_command_line(garden, tmp_path):
    source = visit(garden, zones=rated({"moss_rating": 1}, {"moss_rating": 5}),
                   comments=[{"id": "k", "zone_id": "", "text": "Mind \x1b[31mit"}])  # fmt: skip
    path = tmp_path / "reply.txt"
    path.write_bytes(mailed(source.data, quote="> "))
    looked = run("read", path)
    assert looked.code == 0
    assert "Reply by Ann Example" in looked.out
    assert run("read", path, "--into", garden.path, "--dry-run").code == 6
    asked = run("read", path, "--into", garden.path, "--json")
    assert asked.code == 6
    assert asked.json["result"]["changes"][0]["what"] == "conflict"
    assert asked.json["result"]["kept"]
    again = run("read", path, "--into", garden.path)
    assert again.code == 6
    assert "was read before: nothing has changed" in again.out
    assert "\x1b" not in again.out
    taken = run("read", path, "--into", garden.path, "--take", "theirs")
    assert taken.code == 0
    assert facts(garden)["moss_rating"] == 5
    piped = run("read", "-", "--into", garden.path, stdin=path.read_bytes())
    assert piped.code == 0
    assert "Mind" in run("check", garden.path).out
    assert run("read", path, "--crs", "local").code == 2
    assert run("read", garden.path / "site.geojson", "--take", "mine").code == 2


def test_a_copy_is_the_same_site_and_one_without_an_id_takes_replies_without(garden, tmp_path):
    copied = tmp_path / "copied"
    shutil.copytree(garden.path, copied)
    assert read_reply(visit(garden, answers={"a": "b"}), copied).kept
    old = Folder(copied)
    site = site_store.load(old)
    bare = {name: value for name, value in site.header.items() if name != "site_id"}
    site_store.save(old, type(site)({**site.document, "lawnmap": bare}))
    with pytest.raises(InputRefused, match="another site"):
        read_reply(visit(garden, answers={"c": "d"}), copied)
    assert read_reply(Source("r", reply(answers={"e": "f"}), "reply"), copied).kept


def test_what_was_left_open_is_told_at_each_reading(garden):
    gone = {"zone_id": "old-verge", "base": {}, "now": {"moss_rating": 3}}
    source = visit(garden, zones=[*rated({"moss_rating": 2}, {"moss_rating": 5}), gone])
    assess(garden.path, {ZONE: {"moss_rating": 4}})
    for _ in range(3):
        done = read_reply(source, garden.path)
        assert [(line.before, line.after) for line in done.conflicts] == [(4, 5)]
        assert done.warnings == [
            "There is no zone old-verge any longer; the reply says of it: moss_rating 3."
        ]
    assert (done.known, done.lines) == (True, done.conflicts)
    read_reply(source, garden.path, take="theirs")
    assert read_reply(source, garden.path).conflicts == []


def test_what_was_taken_once_and_set_back_since_is_not_taken_again(garden):
    source = visit(garden, zones=rated({"moss_rating": 2}, {"moss_rating": 5}))
    read_reply(source, garden.path)
    assess(garden.path, {ZONE: {"moss_rating": 2}})
    assert read_reply(source, garden.path).lines == []
    assert facts(garden)["moss_rating"] == 2


@pytest.mark.parametrize("take", [None, "mine"])
def test_a_reply_with_nothing_to_take_is_kept_and_makes_no_revision(garden, take):
    assess(garden.path, {ZONE: {"moss_rating": 4}})
    before = files(garden)
    source = visit(garden, zones=rated({"moss_rating": 2}, {"moss_rating": 5}))
    done = read_reply(source, garden.path, take=take)
    kept = {f"replies/{done.digest}.json"}
    assert (done.saved, done.kept, done.site.revision) == (False, True, 2)
    assert files(garden).keys() - before.keys() == kept
    assert {name: each for name, each in files(garden).items() if name not in kept} == before
    assert read_reply(source, garden.path).known


def iron(**changes):
    return mowing(operation="iron_soluble", amount=62.5, unit="g", **changes)


def test_the_area_that_was_treated_stands_in_the_record_when_it_is_stated(garden):
    work = [iron(area_m2=20, product="Moss iron"), iron(id="w2"), mowing(id="w3")]
    done = read_reply(visit(garden, work=work), garden.path)
    stated, open_, mown = record_store.read(garden).rows
    assert (stated["area_m2"], stated["product"], open_["product"]) == ("20", "Moss iron", "")
    assert float(open_["area_m2"]) == float(mown["area_m2"]) > 100
    told = [each for each in done.warnings if "taken as the whole zone" in each]
    assert told == [f"How much was treated is not in the reply: taken as the whole zone: {ZONE}."]


def test_work_of_a_day_to_come_is_left_out_and_told_and_the_rest_is_recorded(garden, tmp_path):
    work = [mowing(), mowing(id="w2", date="2027-03-02")]
    path = tmp_path / "reply.json"
    path.write_bytes(visit(garden, work=work).data)
    told = run("read", path, "--into", garden.path, "--today", "2027-03-01")
    assert told.code == 0
    assert [row["record_id"] for row in record_store.read(garden).rows] == ["w1"]
    assert (
        f"Not recorded: mowing on {ZONE} is dated 2027-03-02, and today is 2027-03-01." in told.err
    )


@pytest.mark.parametrize("area", [-1, "20", True])
def test_an_area_that_cannot_be_is_refused(garden, area):
    with pytest.raises(InputRefused, match="work 1, area_m2"):
        read_reply(visit(garden, work=[iron(area_m2=area)]), garden.path)
