import base64
import datetime as dt
import json

import pytest

from lawnmap.errors import Busy, InputRefused, SiteDamaged, WriteFailed
from lawnmap.files.lock import locked
from lawnmap.store import backups, document
from lawnmap.store.folder import SITE
from lawnmap.store.recovery import adopt, restore
from lawnmap.store.site import load, save
from tests.disks import Failing
from tests.store.sites import count_of, counted, made, zone

DAY = dt.date(2027, 3, 31)
CRS84 = {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}


@pytest.fixture
def folder(tmp_path):
    """Make a site at revision 3, with backups of 1 and 2."""
    folder, site = made(tmp_path / "garden", title="Elm Row", timezone="Europe/London")
    for count in (2, 3):
        site = save(folder, counted(site, count), today=DAY).site
    return folder


def resaved(folder, *, crs=CRS84, **changes):
    """Write the site file as a GIS does: its header is lost and a crs appears."""
    value = {
        "type": "FeatureCollection",
        "name": "site",
        "crs": crs,
        "features": [zone("a1", count=9, came_from='[ "a", "b" ]', fed_last=None)],
        **changes,
    }
    folder.site.write_text(json.dumps(value), encoding="utf-8")
    return folder.site.read_bytes()


def test_a_file_of_another_program_is_taken_over(folder):
    found = resaved(folder)
    site = adopt(folder).site
    # Revision 3 was lost with the header: nobody who loaded it may save over this.
    assert site.revision == 4
    assert site.title == "Elm Row"
    assert site.header["timezone"] == "Europe/London"
    assert "crs" not in site.document
    assert site.document["name"] == "site"
    assert site.document["features"][0]["properties"]["came_from"] == '[ "a", "b" ]'
    assert load(folder).document == site.document
    assert (folder.path / "site.adopted.geojson").read_bytes() == found
    assert save(folder, counted(site, 10)).site.revision == 5


def test_an_edit_from_before_does_not_overwrite_what_was_taken_over(folder):
    old = load(folder)
    resaved(folder)
    adopt(folder)
    with pytest.raises(Busy, match="revision 4"):
        save(folder, counted(old, 5))


def test_a_first_file_is_revision_one(tmp_path, folder):
    resaved(folder)
    for backup in backups.listed(folder):
        backup.path.unlink()
    site = adopt(folder).site
    assert (site.revision, site.title) == (1, "garden")


def test_a_header_that_was_kept_counts(folder):
    header = {"format": 1, "title": "Oak Row", "revision": 7}
    resaved(folder, lawnmap=header)
    site = adopt(folder).site
    assert (site.revision, site.title) == (8, "Oak Row")


@pytest.mark.parametrize(
    "crs",
    [
        {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::27700"}},
        {"type": "link", "properties": {"href": "http://example.org"}},
        {"type": "name"},
        "EPSG:27700",
        [],
    ],
)
def test_another_crs_is_not_taken_over(folder, crs):
    before = resaved(folder, crs=crs)
    with pytest.raises(InputRefused, match="coordinate reference system"):
        adopt(folder)
    assert folder.site.read_bytes() == before


def test_a_file_without_a_crs_is_taken_over(folder):
    resaved(folder, crs=None)
    assert "crs" not in adopt(folder).site.document


def test_heights_are_taken_over(folder):
    """GDAL names EPSG:4979 when there are heights, and writes longitude first all the same."""
    resaved(folder, crs={"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::4979"}})
    assert adopt(folder).site.revision == 4


def test_what_is_no_site_is_not_taken_over(folder):
    before = resaved(folder, features=[{**zone("a1"), "properties": {"name": "new"}}])
    with pytest.raises(InputRefused, match="does not say what it is"):
        adopt(folder)
    assert folder.site.read_bytes() == before
    assert not (folder.path / "site.adopted.geojson").exists()


def test_our_own_file_is_not_taken_over(folder):
    with pytest.raises(InputRefused, match="nothing to take over"):
        adopt(folder)


@pytest.mark.parametrize("data", [b"", b"{", b"\0\0"])
def test_damage_is_not_taken_over(folder, data):
    folder.site.write_bytes(data)
    with pytest.raises(InputRefused):
        adopt(folder)
    assert folder.site.read_bytes() == data


def test_going_back_from_a_good_file(folder):
    first = backups.listed(folder)[-1]
    site = restore(folder, first, today=DAY).site
    assert site.revision == 4
    assert count_of(load(folder)) == 0
    newest = backups.listed(folder)[0]
    assert newest.revision == 3
    assert backups.read(newest)["features"][0]["properties"]["count"] == 3


@pytest.mark.parametrize("data", [b"{", b"\0" * 9, b'{"type": "FeatureCollection"}'])
def test_going_back_from_a_damaged_file(folder, data):
    folder.site.write_bytes(data)
    site = restore(folder, backups.newest_good(folder)).site
    assert site.revision == 4
    assert count_of(load(folder)) == 2
    assert (folder.path / "site.damaged.geojson").read_bytes() == data


@pytest.mark.parametrize("loss", ["missing", "empty"])
def test_going_back_when_nothing_is_left(folder, loss):
    folder.site.unlink()
    if loss == "empty":
        folder.site.write_bytes(b"")
    assert restore(folder, backups.newest_good(folder)).site.revision == 4
    assert count_of(load(folder)) == 2
    assert list(folder.path.glob("site.damaged*")) == []


def test_a_newer_file_is_not_replaced(folder):
    folder.site.write_bytes(folder.site.read_bytes().replace(b'"format":1', b'"format":2'))
    before = folder.site.read_bytes()
    with pytest.raises(SiteDamaged, match="newer lawnmap"):
        restore(folder, backups.newest_good(folder))
    assert folder.site.read_bytes() == before


def test_a_damaged_backup_is_not_restored(folder):
    before = folder.site.read_bytes()
    bad = backups.listed(folder)[0]
    bad.path.write_bytes(b"{")
    with pytest.raises(InputRefused):
        restore(folder, bad)
    assert folder.site.read_bytes() == before


@pytest.mark.parametrize("for_good", [False, True])
def test_every_operation_of_going_back_fails(folder, for_good):
    failed = 0
    for number in range(1, 100):
        folder.site.write_bytes(b"{")
        disk = Failing(number, for_good=for_good)
        told = ""
        try:
            restore(folder, backups.newest_good(folder), disk=disk)
        except WriteFailed as error:
            told = str(error)
        if told:
            assert folder.site.read_bytes() == b"{"
        else:
            assert count_of(load(folder)) == 2
        if not disk.failed:
            break
        failed += 1
    assert failed > 15


def test_what_was_cut_off_comes_first(folder, tmp_path):
    """A change in the journal is finished, and a temp file in the way is cleared."""
    old = load(folder)
    new = document.encode(counted(old, 8).with_header(revision=4).document, name=SITE).data
    packed = {SITE: base64.b64encode(new).decode()}
    text = json.dumps({"journal": 1, "revision": 4, "files": packed})
    folder.journal.write_text(text, encoding="utf-8")
    (folder.path / ".site.geojson.tmp").write_bytes(b"half")
    backup = backups.listed(folder)[0]
    assert restore(folder, backup).site.revision == 5
    assert backups.read(backups.listed(folder)[0])["features"][0]["properties"]["count"] == 8
    assert not folder.journal.exists()


def test_a_temp_file_in_the_way_of_a_takeover_is_cleared(folder):
    resaved(folder)
    (folder.path / ".site.geojson.tmp").write_bytes(b"half")
    assert adopt(folder).site.revision == 4


def test_both_wait_for_the_lock(folder, monkeypatch):
    monkeypatch.setattr("lawnmap.files.lock.WAIT_S", 0.0)
    monkeypatch.setitem(locked.__wrapped__.__kwdefaults__, "wait_s", 0.0)
    backup = backups.newest_good(folder)
    with locked(folder.lock):
        for work in (lambda: adopt(folder), lambda: restore(folder, backup)):
            with pytest.raises(Busy, match="garden"):
                work()
