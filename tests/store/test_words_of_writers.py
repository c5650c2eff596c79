"""What is told, word for word, by whatever writes a site: what was done, and where an edit is."""

import datetime as dt
import io
import json
from pathlib import Path

import pytest
from PIL import Image

from lawnmap.errors import LawnmapError, WriteFailed
from lawnmap.store import (
    backups,
    document,
    draft,
    issued,
    journal,
    photos,
    record,
    recovery,
    replies,
    surveys,
)
from lawnmap.store import site as store
from lawnmap.store.folder import SITE, Folder, find
from tests.disks import Failing, Recording
from tests.replies import mailed, reply, sealed
from tests.store.sites import closed, count_of, counted, made, site, told, zone

DAY = dt.date(2027, 3, 31)
DONE = "Nothing was changed."
CHECK = "Check the disk and the path, and try again."
AGAIN = "Load the site again and make the edit once more."
OFFER = "The newest good backup is revision 1 of 2027-03-31: lawnmap check SITE --restore."
ADOPT = (
    "Take it over as the next revision (lawnmap check SITE --adopt), or go back to a backup "
    "(lawnmap check SITE --restore)."
)
ASK = "Ask for the reply once more, as a file."
PASTE = (
    "Paste all of it: from the line BEGIN LAWNMAP REPLY down to the line END LAWNMAP REPLY, with "
    "both of them."
)
DELETE = "Delete that file to go on with the site as it is; the change is then lost."
PLAN = {"day": DAY, "inputs": {"a": 1}, "plan": [], "to": {"name": "Pat"}}


@pytest.fixture
def folder(tmp_path):
    """Make a site at revision 2, with one backup."""
    folder, new = made(tmp_path / "garden")
    store.save(folder, counted(new, 2), today=DAY)
    return folder


def foreign(folder, **changes):
    """Write the site as another program does."""
    value = {**json.loads(folder.site.read_bytes()), **changes}
    if not changes:
        del value["lawnmap"]
    folder.site.write_text(json.dumps(value), encoding="utf-8")


def test_of_making_a_site(folder, tmp_path):
    assert told(store.create, folder, site()) == (
        f"garden: holds a site already. {DONE} Choose another folder."
    )
    assert told(store.create, Folder(tmp_path / "none" / "oak"), site()) == (
        f"oak: could not be written (No such file or directory). {DONE} {CHECK}"
    )


def test_of_an_edit_that_came_late(folder):
    old = store.load(folder).with_header(revision=1)
    head = "site.geojson: was changed elsewhere and is now at revision 2; yours is revision 1."
    mine = counted(old, 3)
    assert told(store.save, folder, mine) == (
        f"{head} Your edit is kept in site.mine-1.geojson; the site was not changed. {AGAIN}"
    )
    assert told(store.save, folder, counted(old, 4), also={"record.csv": b"row"}) == (
        f"{head} Your edit is kept in site.mine-1-2.geojson and record.mine-1.csv; "
        f"the site was not changed. {AGAIN}"
    )
    assert (folder.path / "record.mine-1.csv").read_bytes() == b"row"
    foreign(folder, crs=None)
    assert told(store.save, folder, mine) == (
        "site.geojson: was changed elsewhere by another program; yours is revision 1. "
        f"Your edit is kept in site.mine-1.geojson; the site was not changed. {AGAIN}"
    )


def test_of_a_site_that_is_gone(folder):
    old = store.load(folder)
    folder.site.unlink()
    assert told(store.load, folder) == f"site.geojson: is missing. {DONE} {OFFER}"
    assert told(store.save, folder, old) == (
        f"site.geojson: is missing. Your edit is kept in site.mine-2.geojson. {OFFER}"
    )


def test_of_a_damaged_site(folder):
    folder.site.write_bytes(b"[1,")
    where = "site.geojson: line 1, column 4: is not JSON: Expecting value."
    assert told(store.load, folder) == f"{where} {DONE} {OFFER}"
    foreign_id = document._text(site(zone("a b")).document).encode()
    folder.site.write_bytes(foreign_id)
    assert told(store.load, folder) == (
        "site.geojson: feature 1, zone \"a b\": zone_id 'a b' is not a short name. "
        f"{DONE} Use 1 to 32 letters, digits, _ and -, beginning with a letter or digit. {OFFER}"
    )
    for each in backups.listed(folder):
        each.path.unlink()
    folder.site.write_bytes(b"[1,")
    assert told(store.load, folder) == (
        f"{where} {DONE} There is no good backup: mend it in a text editor, or put back a copy of "
        "yours."
    )


def test_of_a_site_of_another_program(folder):
    foreign(folder, crs=None)
    assert told(store.load, folder) == (
        f"site.geojson: was saved by another program: it has a member crs. {DONE} {ADOPT}"
    )
    foreign(folder)
    assert told(store.load, folder) == (
        f"site.geojson: was saved by another program: it has a member crs. {DONE} {ADOPT}"
    )
    value = json.loads(folder.site.read_bytes())
    folder.site.write_text(json.dumps({name: value[name] for name in ("type", "features")}))
    assert told(store.load, folder) == (
        f"site.geojson: was saved by another program: it has no member lawnmap. {DONE} {ADOPT}"
    )


def test_of_a_site_that_cannot_be_opened(folder):
    folder.site.unlink()
    folder.site.symlink_to("site.geojson")
    assert told(store.load, folder) == (
        f"site.geojson: is a link that leads to itself. {DONE} {OFFER}"
    )


def test_of_what_is_no_site(folder, tmp_path):
    assert told(find, tmp_path / "none") == (
        f"none: holds no site.geojson. {DONE} Give a site folder, or make one with lawnmap start."
    )
    assert told(find, tmp_path / ("x" * 300)) == (
        f"{'x' * 119}…: cannot be opened (File name too long). {DONE} Check the path."
    )
    folder.record.write_bytes(b"")
    assert told(find, folder.record) == (
        f"record.csv: is not a site. {DONE} Give a site folder, or the site.geojson in it."
    )
    assert told(folder.together, "../x") == (
        f"garden: '../x' cannot change together with the site. {DONE} "
        "Only the site's own files can, and each must lie in its folder."
    )


def test_of_taking_over(folder):
    assert told(recovery.adopt, folder) == (
        f"site.geojson: was saved by lawnmap: there is nothing to take over. {DONE} "
        "Leave --adopt out."
    )
    for crs, name in (
        ({"type": "name", "properties": {"name": "EPSG:27700"}}, "'EPSG:27700'"),
        ({"type": "name"}, "None"),
        ({"properties": None}, "None"),
    ):
        foreign(folder, crs=crs)
        assert told(recovery.adopt, folder) == (
            f"site.geojson: is in the coordinate reference system {name}, not in longitude and "
            f"latitude. {DONE} Save it again as EPSG:4326, or bring it in with lawnmap read."
        )
    folder.site.write_bytes(b"[]")
    assert told(recovery.adopt, folder) == (
        f"site.geojson: is not a GeoJSON FeatureCollection. {DONE}"
    )


def test_of_a_journal(folder):
    head, tail = ".lawnmap/journal", f"The change in it was not finished. {DELETE}"
    cases = {
        "{}": "is damaged",
        "[]": "is damaged",
        "{": "is not JSON: Expecting property name enclosed in double quotes",
        '{"journal": 9, "revision": 1, "files": {}}': "has another format",
        '{"journal": 1, "revision": 1, "files": {"a": "eA=="}}': (
            "'a' cannot change together with the site"
        ),
        '{"journal": 1, "revision": 1, "files": {}, "before": 3}': "is damaged",
        '{"journal": 2, "revision": 1, "files": {}}': "is not as it was written",
        '{"journal": 2, "revision": 1, "files": {}, "seal": "0"}': "is not as it was written",
    }
    for text, problem in cases.items():
        folder.journal.write_text(text)
        assert told(store.load, folder) == f"{head}: {problem}. {tail}"


def test_of_a_change_that_was_cut_off(folder):
    """Up to the journal nothing was changed; from then on the change counts."""
    messages = {}
    for number in range(1, 99):
        disk = Failing(number)
        try:
            store.save(folder, counted(store.load(folder), 3), also={"record.csv": b"x"}, disk=disk)
        except WriteFailed as error:
            messages.setdefault(str(error), disk.failed)
        if not disk.failed:
            break
    error = "could not be written (Input/output error)"
    for name in ("garden", "site.geojson", "journal"):
        assert f"{name}: {error}. {DONE} {CHECK}" in messages
    for name in ("journal", "record.csv", "site.geojson"):
        assert f"{name}: {error}. {journal.LATER} {CHECK}" in messages
    for said in (
        f"garden: the disk did not confirm the journal. {DONE} Check the disk and try again.",
        f"garden: the disk cannot lock a file (Input/output error). {DONE} "
        "Keep the site on a disk of this machine.",
    ):
        assert said in messages


def test_of_a_backup_that_cannot_be_made(folder):
    folder.backups.rename(folder.path / "earlier")
    folder.backups.write_bytes(b"in the way")
    assert told(backups.keep, folder, 2, today=DAY) == (
        f"r000002-2027-03-31.geojson: could not be written (File exists). {DONE} {CHECK}"
    )
    assert told(backups.listed, folder) == (
        f"backups: cannot be listed (Not a directory). {DONE} Check the folder."
    )
    assert backups.newest_good(folder) is None


def test_of_a_record_that_is_none(folder):
    for data, says in (
        (b"a\n1\n", "has no column record_id"),
        (
            b"record_id\n\xff\n",
            "is not UTF-8 text (byte 11; it looks like Latin-1 or Windows-1252)",
        ),
        (b'record_id\nx\n"a\n', "line 3: is not a sound table (unexpected end of data)"),
    ):
        folder.record.write_bytes(data)
        refused = told(record.read, folder)
        assert refused == f"record.csv: {says}. {DONE} Mend it in a text editor."


def test_of_a_torn_line(folder):
    torn = record.Record(record.COLUMNS, (), "b,,,front")
    files, said = record.kept_torn(folder, torn)
    assert said == ("The last line of record.csv was not whole; it is kept in record.torn.csv.",)
    (folder.path / record.TORN).write_bytes(b"")  # an empty one is no reason to refuse a row
    assert record.kept_torn(folder, torn)[0] == files == {record.TORN: b"b,,,front\n"}


def test_of_an_issue(folder):
    assert told(issued.issue, folder, **PLAN, files={"A.html": b""}) == (
        f"garden: 'A.html' cannot be the name of an issued file. {DONE} "
        "Use lower-case letters, digits, _ and -, and a suffix."
    )
    folder.issued.write_bytes(b"in the way")
    assert told(issued.listed, folder) == (
        f"issued: cannot be listed (Not a directory). {DONE} Check the folder."
    )
    assert told(issued.issue, folder, **PLAN, files={"a.html": b""}) == (
        f"issued: could not be written (File exists). {DONE} {CHECK}"
    )


def test_the_papers_of_an_issued_plan(folder):
    """What was handed over, without what is kept of it here alone."""
    one, _ = issued.issue(folder, **PLAN, files={"map.html": b"<html>", "sheet.pdf": b"%PDF"})
    assert one.papers() == ["map.html", "sheet.pdf"]
    (one.path / "files.json").write_text('[{"name": "../../x"}]')
    assert one.papers() == []
    (one.path / "files.json").write_text("{")
    assert one.papers() == []
    (one.path / "inputs.json").write_text("{")
    assert told(one.read, "inputs.json").startswith(f"{one.path.name}/inputs.json: line 1, column")


def webp(colour="green"):
    stream = io.BytesIO()
    Image.new("RGB", (8, 8), colour).save(stream, "WEBP")
    return stream.getvalue()


def test_of_photos(folder):
    assert told(photos.keep, folder, b"GIF") == f"is not a plain WebP picture. {DONE}"
    assert told(photos.read, folder, "x") == f"x: is not the name of a photo. {DONE}"
    name = photos.keep(folder, webp())
    (folder.path / name).write_bytes(b"<svg>")
    assert told(photos.read, folder, name) == f"{name}: is not a plain WebP picture. {DONE}"


def test_a_photo_that_was_damaged_is_kept_anew(folder):
    """Its name says what it holds, so what holds something else is not it."""
    name = photos.keep(folder, webp())
    for damaged in (b"", b"cut", webp("red"), webp()[:-1] + b"x"):
        (folder.path / name).write_bytes(damaged)
        assert photos.keep(folder, webp()) == name
        assert photos.read(folder, name) == webp()


def test_a_photo_that_the_disk_did_not_confirm_is_told(folder):
    class Unconfirmed(Recording):
        def sync_folder(self, folder):
            if folder.name == "photos":
                raise OSError(5, "Input/output error")

    said = (
        "garden: the disk did not confirm the photo. It may not last. "
        "Check the disk and add the photo again."
    )
    for _ in range(2):  # nor is it taken for safe when it is there already
        assert told(photos.keep, folder, webp(), disk=Unconfirmed()) == said
    assert photos.read(folder, photos.keep(folder, webp())) == webp()


def test_the_largest_photo(folder, monkeypatch):
    monkeypatch.setattr(photos, "LARGEST", len(webp()))
    assert photos.read(folder, photos.keep(folder, webp())) == webp()
    monkeypatch.setattr(photos, "LARGEST", len(webp()) - 1)
    assert "plain WebP" in told(photos.keep, folder, webp())


def test_of_surveys(folder):
    there = store.load(folder)
    none = f"garden: there is no closed survey 'x'. {DONE}"
    assert told(surveys.named, folder, "x") == f"{none} Close one with lawnmap survey."
    survey = closed(folder, there, day=DAY)
    assert told(surveys.named, folder, "x") == f"{none} The surveys are: 2027-03-31."
    assert told(surveys.closing, folder, there, day=DAY) == (
        f"garden: nothing was surveyed since the survey of 2027-03-31 was closed. {DONE} "
        "Take new cores and counts, save them, and close the survey then."
    )
    mend = "Put it back from a copy of yours, or use another survey."
    path = folder.surveys / "2027-03-31.geojson"
    path.write_bytes(document._text({**there.document, "features": [3]}).encode())
    assert told(survey.read) == (
        f"surveys/2027-03-31.geojson: feature 1: is not a GeoJSON Feature. {DONE} {mend}"
    )
    path.unlink()
    folder.surveys.rmdir()
    folder.surveys.write_bytes(b"in the way")
    assert told(surveys.listed, folder) == (
        f"surveys: cannot be listed (Not a directory). {DONE} Check the folder."
    )


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b" " * 5_000_001, f"is larger than 5 MB. {DONE} No reply is so large."),
        (b"hello", f"holds no reply that is whole: its first line is missing. {DONE} {PASTE}"),
        (
            mailed(reply())[:-60],
            f"is cut off: the reply's last line is missing. {DONE} {PASTE}",
        ),
        (
            mailed(reply()).replace(b"\neyJ", b"\nJeyJ"),
            f"the text between its marks is damaged. {DONE} {ASK}",
        ),
        (b"{}", f"is not a reply. {DONE} {ASK}"),
        (b'{"lawnmap_reply":true}', f"lawnmap_reply is not a whole number. {DONE} {ASK}"),
        (b'{"lawnmap_reply":0}', f"lawnmap_reply is not a whole number. {DONE} {ASK}"),
        (
            b'{"lawnmap_reply":2}',
            f"is a reply of format 2, made by a newer lawnmap. {DONE} Read it with that lawnmap.",
        ),
        (b'{"lawnmap_reply":1}', f"is not made as a reply is. {DONE} {ASK}"),
        (
            b'{"lawnmap_reply":1,"content":"","digest":3}',
            f"is not made as a reply is. {DONE} {ASK}",
        ),
        (
            b'{"lawnmap_reply":1,"content":3,"digest":""}',
            f"is not made as a reply is. {DONE} {ASK}",
        ),
        (
            reply().replace(b"Ann", b"Bob"),
            f"was damaged or changed after it was made (its digest does not match). {DONE} {ASK}",
        ),
        (sealed("[]"), f"the content is not an object. {DONE} {ASK}"),
        (
            sealed("{" + '"a":[' * 12 + "]" * 12 + "}"),
            None,
        ),
        (mailed(reply()) * 21, f"holds many replies. {DONE} {ASK}"),
        (
            mailed(reply()) + mailed(reply(by="Bo")),
            f"holds 2 different replies. {DONE} Save each in a file of its own.",
        ),
        (
            b"\xff{",
            "is not UTF-8 text (byte 1; it looks like Latin-1 or Windows-1252). "
            f"{DONE} Save it as UTF-8 and read it again.",
        ),
    ],
)
def test_of_a_reply(data, says):
    refused = told(replies.opened, data, name="r.txt")
    assert refused.startswith("r.txt: ")
    assert says is None or refused == f"r.txt: {says}"


def test_replies_up_to_the_limits_are_read():
    wanted = replies.opened(reply(), name="r")
    assert replies.opened(mailed(reply()) * 20, name="r") == wanted
    assert replies.opened(reply() + b" " * (replies.LARGEST - len(reply())), name="r") == wanted
    loud = json.loads(reply())
    loud["digest"] = loud["digest"].upper()
    assert replies.opened(json.dumps(loud).encode(), name="r") == wanted
    assert wanted.data.endswith(b"}\n")
    assert json.loads(wanted.data) == json.loads(reply())


def test_a_reply_that_changes_nothing_is_kept(folder):
    envelope = replies.opened(reply(), name="r")
    assert not replies.known(folder, envelope.digest)
    assert replies.keep(folder, envelope) == ()
    assert replies.known(folder, envelope.digest)
    assert (folder.path / envelope.path).read_bytes() == envelope.data
    (folder.path / envelope.path).write_bytes(b"damaged")
    assert replies.listed(folder) == (
        [],
        (
            f"A kept reply was left out: {envelope.digest}.json: holds no reply that is whole: "
            "its first line is missing.",
        ),
    )
    temp = (folder.path / envelope.path).with_name(f".{envelope.digest}.json.tmp")
    temp.write_bytes(b"of a killed writer")
    assert replies.keep(folder, envelope) == ()
    assert replies.listed(folder) == ([envelope], ())
    assert store.load(folder).revision == 2


def test_every_operation_of_keeping_a_reply_fails(folder):
    envelope = replies.opened(reply(), name="r")
    failed = 0
    for number in range(1, 99):
        disk = Failing(number)
        try:
            warnings = replies.keep(folder, envelope, disk=disk)
        except WriteFailed:
            warnings = ()
        else:
            assert replies.listed(folder)[0] == [envelope]
        assert all("did not confirm" in each for each in warnings)
        if not disk.failed:
            break
        failed += 1
        assert list(folder.replies.glob(".*")) == []
    assert failed > 9
    (folder.path / envelope.path).unlink()
    folder.replies.rmdir()
    folder.replies.write_bytes(b"in the way")
    assert told(replies.listed, folder) == (
        f"replies: cannot be listed (Not a directory). {DONE} Check the folder."
    )
    assert told(replies.keep, folder, envelope).startswith(f"{envelope.digest}.json: could not be")


def test_of_a_draft_that_does_not_go(folder):
    with draft.held(folder) as held:
        held.keep(draft.Kept(1, {}))
    with pytest.raises(WriteFailed) as caught:
        draft.Draft(held.path, Failing(1)).forget()
    assert str(caught.value) == (
        f"draft.json: could not be written (Input/output error). {DONE} {CHECK}"
    )
    assert held.read().revision == 1


def test_of_too_many_pages(folder, monkeypatch):
    monkeypatch.setattr(draft, "MOST", 1)
    with draft.held(folder):
        said = told(lambda: draft.held(folder).__enter__())
    assert said == ("garden: 1 pages are open on it already. Close one of them, and try again.")


def test_what_is_no_draft_is_kept_beside_it(folder):
    """Damage, or the draft of another lawnmap: the next stroke is not written over it."""
    path = folder.private / "draft.json"
    kept = []
    seeds = Path(__file__).parents[1] / "seeds" / "draft"
    for text in [*(each.read_text() for each in sorted(seeds.iterdir())), "{", "{"]:
        path.write_text(text)
        with draft.held(folder) as held:
            assert held.read() is None
            held.keep(draft.Kept(3, {}))
        kept.append(text)
        found = sorted(folder.private.glob("draft.damaged-*.json"))
        assert [each.read_text() for each in found] == kept
        assert held.read().revision == 3
    with draft.held(folder) as held:
        assert held.read().revision == 3
    assert len(kept) == len(list(folder.private.glob("draft.damaged-*"))) >= 3


def test_a_reader_never_mixes_two_states(folder, monkeypatch):
    """While a site is read, another saves it together with its heights, and again."""
    from lawnmap.store import heights

    first = "lon,lat,height_m,row,col\n0.0,52.0,{n}.0,,\n0.1,52.0,1.0,,\n0.0,52.1,1.0,,\n"
    saves = []

    class Meanwhile(Recording):
        def look(self, path):
            if path.name == heights.NAME and len(saves) < 3:
                saves.append(None)  # its own calls come through here no more
                count = 100 + len(saves)
                text = first.format(n=count).encode()
                also = {heights.NAME: text}
                store.save(folder, counted(store.load(folder), count), also=also)
            return super().look(path)

    found = store.load(folder, disk=Meanwhile())
    assert len(saves) == 3
    assert found.heights.points[0, 2] == count_of(found) == 103


def test_a_record_that_was_written_by_hand_since_is_kept(folder):
    """A change is cut off, somebody adds a row to the record, and then the change is finished."""
    folder.record.write_bytes(b"old\n")
    disk = Failing(40, for_good=True)
    said = told(
        store.save, folder, counted(store.load(folder), 3), also={"record.csv": b"new\n"}, disk=disk
    )
    assert journal.LATER in said
    folder.record.write_bytes(b"by hand\n")
    assert count_of(store.load(folder)) == 3
    assert folder.record.read_bytes() == b"new\n"
    assert (folder.path / "record.found.csv").read_bytes() == b"by hand\n"


@pytest.mark.parametrize("left", [b"old\n", b"new\n", b"", None])
def test_a_record_as_it_was_or_is_to_be_leaves_no_copy(folder, left):
    folder.record.write_bytes(b"old\n")
    old = store.load(folder)
    for number in range(25, 60):  # the journal is there, and the record is old or new
        disk = Failing(number, for_good=True)
        try:
            store.save(folder, counted(old, 3), also={"record.csv": b"new\n"}, disk=disk)
        except WriteFailed:
            if journal.pending(folder):
                break
    assert journal.pending(folder)
    folder.record.unlink()
    if left is not None:
        folder.record.write_bytes(left)
    assert count_of(store.load(folder)) == 3
    assert folder.record.read_bytes() == b"new\n"
    assert list(folder.path.glob("record.*")) == [folder.record]
    assert not journal.pending(folder)
    assert (folder.path / SITE).exists()


class Unsure(Recording):
    """A disk that confirms no folder below some site."""

    def __init__(self, *names):
        super().__init__()
        self.unsure = names

    def sync_folder(self, folder):
        if folder.name in self.unsure:
            raise OSError(5, "Input/output error")
        super().sync_folder(folder)


def test_an_issue_to_the_letter(folder):
    one, _ = issued.issue(folder, **PLAN, files={"map.html": b"<html>"})
    assert (one.path / "inputs.json").read_bytes() == b'{\n "a": 1\n}\n'
    assert (one.path / "to.json").read_bytes() == b'{\n "name": "Pat"\n}\n'
    assert (one.path / "plan.json").read_bytes() == b"[]\n"
    assert one.read("files.json")[1]["name"] == "map.html"
    assert one.holds("map.html")
    assert one.holds("inputs.json")
    assert not one.holds("other.html")
    (one.path / "map.html").write_bytes(b"<HTML>")
    assert not one.holds("map.html")
    assert one.holds("inputs.json")
    (one.path / "files.json").write_text("[3]")
    assert not one.holds("inputs.json")
    (one.path / "files.json").write_text("[")
    assert not one.holds("inputs.json")
    (one.path / "files.json").unlink()  # as of a plan issued before there was such a list
    assert one.holds("map.html")


def test_every_file_of_an_issue_that_is_not_confirmed_is_told(folder):
    one, warnings = issued.issue(
        folder, **PLAN, files={"map.html": b""}, disk=Unsure(".waiting", "issued")
    )
    names = ["plan.json", "inputs.json", "to.json", "map.html", "files.json", one.path.name]
    assert warnings == tuple(
        f"{name} was saved, but the disk did not confirm it: after a power cut it may be the old "
        "one."
        for name in names
    )


def test_what_is_not_confirmed_is_told_by_every_writer(folder):
    told_of = (
        "{} was saved, but the disk did not confirm it: after a power cut it may be the old one."
    )
    site_told = (told_of.format(SITE),)
    disk = Unsure("garden")
    backup = backups.listed(folder)[0]
    assert recovery.restore(folder, backup, today=DAY, disk=disk).warnings == site_told
    assert recovery.restore(folder, backup, today=DAY).warnings == ()
    foreign(folder, crs=None)
    assert recovery.adopt(folder, disk=disk).warnings == site_told
    foreign(folder, crs=None)
    assert recovery.adopt(folder).warnings == ()
    envelope = replies.opened(reply(), name="r")
    assert replies.keep(folder, envelope, disk=Unsure("replies")) == (
        told_of.format(f"{envelope.digest}.json"),
    )


def test_every_writer_says_why_the_disk_did_not_take_it(folder):
    new = store.load(folder)
    envelope = replies.opened(reply(), name="r")
    works = {
        "new": lambda disk: store.create(Folder(folder.path / "new"), site(), disk=disk),
        "site.geojson": lambda disk: store.save(folder, counted(new, 3), today=DAY, disk=disk),
        "issued": lambda disk: issued.issue(folder, **PLAN, files={"a.html": b""}, disk=disk),
        f"{envelope.digest}.json": lambda disk: replies.keep(folder, envelope, disk=disk),
        "restored": lambda disk: recovery.restore(
            folder, backups.listed(folder)[0], today=DAY, disk=disk
        ),
    }
    for name, work in works.items():
        said = set()
        for number in range(1, 14):  # up to where the first file is written
            disk = Failing(number)
            try:
                work(disk)
            except LawnmapError as error:
                said.add(str(error))
            if not disk.failed:
                break
        assert said
        assert all("(Input/output error)" in each for each in said)
        if name != "restored":
            assert f"{name}: could not be written (Input/output error). {DONE} {CHECK}" in said


def test_of_files_that_cannot_be_opened(folder):
    envelope = replies.opened(reply(), name="r")
    torn = record.Record(record.COLUMNS, (), "x")
    for name, work in (
        ("record.csv", lambda disk: record.read(folder, disk=disk)),
        ("record.torn.csv", lambda disk: record.kept_torn(folder, torn, disk=disk)),
        (
            f"{envelope.digest}.json",
            lambda disk: replies.known(folder, envelope.digest, disk=disk),
        ),
    ):
        assert told(work, Failing(1)) == (
            f"{name}: cannot be opened (Input/output error). {DONE} Check the path."
        )


def test_of_a_bad_backup_and_a_bad_file_to_take_over(folder):
    backup = backups.listed(folder)[0]
    backup.path.unlink()
    backup.path.write_bytes(b"[1,")
    assert told(backups.read, backup).startswith("r000001-2027-03-31.geojson: line 1, column 4:")
    foreign(folder, crs=None, features=[3])
    assert told(recovery.adopt, folder) == (
        f"site.geojson: feature 1: is not a GeoJSON Feature. {DONE}"
    )


def test_a_record_to_the_letter():
    there = record.Record(("record_id", "note", "own"), ({"record_id": "a", "note": "=x"},))
    assert record.with_rows(there, [{"record_id": "b", "own": 'said "no"'}]) == (
        b'record_id,note,own\na,\'=x,\nb,,"said ""no"""\n'
    )


class Forbidden(Recording):
    """A disk that lets nobody write to some names, whoever asks."""

    def __init__(self, *names):
        super().__init__()
        self.forbidden = names

    def do(self, call, /, *args, **kwargs):
        if call.__name__ == "access" and args[0].name in self.forbidden:
            return False
        return super().do(call, *args, **kwargs)


def test_a_change_that_could_not_be_put_in_place_is_not_begun(folder):
    folder.record.write_bytes(b"old")
    new = counted(store.load(folder), 3)
    for disk, says in (
        (Forbidden("record.csv"), f"record.csv: is read-only. {DONE} Make it writable"),
        (Forbidden("garden"), f"record.csv: could not be written (Permission denied). {DONE}"),
    ):
        refused = told(store.save, folder, new, also={"record.csv": b"x"}, disk=disk)
        assert refused.startswith(says)
        assert not journal.pending(folder)
        assert folder.record.read_bytes() == b"old"


def test_links_that_lead_round_and_round_change_nothing(folder):
    folder.record.symlink_to(folder.record)
    assert "cannot change together" in told(folder.together, "record.csv")


def test_a_folder_in_the_place_of_the_site_makes_way(folder):
    for name in ("site.damaged", "site.damaged-2"):
        folder.site.unlink()
        folder.site.mkdir()
        assert recovery.restore(folder, backups.listed(folder)[0], today=DAY).warnings == ()
        assert (folder.path / name).is_dir()
        assert count_of(store.load(folder)) == 0
