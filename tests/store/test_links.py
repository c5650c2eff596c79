"""A folder may come from somebody else: no link in it leads a write, or a removal, out of it."""

import datetime as dt
import io
import os

import pytest
from PIL import Image

from lawnmap.errors import InputRefused, SiteDamaged
from lawnmap.jobs import export
from lawnmap.store import backups, draft, issued, journal, photos, replies
from lawnmap.store import site as site_store
from lawnmap.store.aside import set_aside
from lawnmap.store.folder import Folder
from lawnmap.store.inside import kept
from tests.replies import reply
from tests.store.sites import count_of, counted, made, told

DAY = dt.date(2027, 3, 31)
DONE = "Nothing was changed."
REMEDY = "Take the link away, or put in its place what it leads to."


@pytest.fixture
def folder(tmp_path):
    folder, new = made(tmp_path / "garden")
    site_store.save(folder, counted(new, 2), today=DAY)
    return folder


@pytest.fixture
def other(tmp_path):
    """Make the site of somebody else, with as many backups as are kept."""
    other, new = made(tmp_path / "other")
    for count in range(2, 8):
        new = site_store.save(other, counted(new, count), today=DAY).site
    return other


def state(folder):
    return {
        str(path): path.read_bytes() for path in sorted(folder.path.rglob("*")) if path.is_file()
    }


def out(path):
    return f"{path}: is a link out of the site's folder. {DONE} {REMEDY}"


def replaced(path, target):
    """Put a link in the place of a folder or file."""
    if path.exists():
        path.rename(path.with_name(f"{path.name}.was"))
    path.symlink_to(target)


@pytest.mark.parametrize("name", [".lawnmap", ".lawnmap/backups"])
def test_the_backups_of_another_site_are_not_pruned(folder, other, name):
    site = site_store.load(folder)
    replaced(folder.path / name, other.path / name)
    before = state(other)
    with pytest.raises(InputRefused, match="is a link out of the site's folder"):
        site_store.save(folder, site, today=DAY)
    assert state(other) == before
    with pytest.raises(InputRefused):
        backups.listed(folder)
    assert backups.newest_good(folder) is None


def test_the_change_of_another_site_is_not_finished_here(folder, other):
    other.journal.write_bytes(b"a change that was cut off")
    folder.journal.symlink_to(other.journal)
    for work in (site_store.load, journal.pending):
        assert told(work, folder) == out(".lawnmap/journal")
    assert other.journal.read_bytes() == b"a change that was cut off"
    assert (folder.private / "journal").is_symlink()


def test_the_lock_of_another_site_is_not_taken(folder, other):
    (folder.private / "lock").unlink()
    (folder.private / "lock").symlink_to(other.private / "lock")
    assert told(site_store.save, folder, counted(site_store.load(folder), 3)) == out(
        ".lawnmap/lock"
    )
    assert count_of(site_store.load(folder)) == 2


def test_links_that_lead_round_and_round(folder):
    replaced(folder.private, folder.path / ".lawnmap")
    assert told(site_store.load, folder) == out(".lawnmap/journal")


def test_a_link_within_the_folder_is_no_harm(folder):
    folder.backups.rename(folder.path / "earlier")
    (folder.private / "backups").symlink_to(folder.path / "earlier")
    assert [each.revision for each in backups.listed(folder)] == [1]
    assert folder.own(folder.path / "earlier") == folder.path / "earlier"


def test_the_folder_itself_may_be_a_link(folder, tmp_path):
    (tmp_path / "link").symlink_to(folder.path)
    linked = Folder(tmp_path / "link")
    assert site_store.save(linked, counted(site_store.load(linked), 3)).site.revision == 3


def test_a_draft_is_not_written_through_a_link(folder, tmp_path):
    outside = tmp_path / "letter.txt"
    outside.write_text("not mine")
    (folder.private / "draft-2.json").symlink_to(outside)
    with pytest.raises(InputRefused, match=r"draft-2\.json: is a link"), draft.held(folder):
        pass
    assert outside.read_text() == "not mine"


def test_a_reply_is_not_kept_through_a_link(folder, other):
    folder.replies.symlink_to(other.path)
    envelope = replies.opened(reply(), name="r.json")
    before = state(other)
    with pytest.raises(InputRefused, match="cannot change together"):
        replies.keep(folder, envelope)
    assert state(other) == before


def webp():
    stream = io.BytesIO()
    Image.new("RGB", (8, 8), "green").save(stream, "WEBP")
    return stream.getvalue()


def test_a_photo_is_not_kept_through_a_link(folder, other):
    folder.photos.symlink_to(other.path)
    before = state(other)
    assert told(photos.keep, folder, webp()).startswith("photos/")
    assert state(other) == before


def test_a_plan_is_not_issued_through_a_link(folder, other):
    """Nor is a folder there emptied that has the name of one of ours."""
    waiting = other.path / ".waiting"
    waiting.mkdir()
    (waiting / "letter.txt").write_text("not mine")
    folder.issued.symlink_to(other.path)
    before = state(other)
    refused = told(
        issued.issue, folder, day=DAY, inputs={}, plan=[], to={}, files={"map.html": b""}
    )
    assert refused == out("issued")
    assert state(other) == before


def test_what_is_set_aside_goes_through_no_link(folder, tmp_path):
    """A link that leads nowhere yet would make a file of the sender's choice."""
    (folder.path / "site.mine-1.geojson").symlink_to(tmp_path / "not-there-yet")
    assert set_aside(folder, "mine-1", b"an edit") == "site.mine-1-2.geojson"
    assert not os.path.lexists(tmp_path / "not-there-yet")
    (folder.path / "site.mine-2.geojson").symlink_to(folder.path / "site.mine-2.geojson")
    assert set_aside(folder, "mine-2", b"an edit") == "site.mine-2-2.geojson"
    assert (folder.path / "site.mine-2-2.geojson").read_bytes() == b"an edit"


def test_a_file_beside_the_site_is_not_read_through_a_link(folder, tmp_path):
    (tmp_path / "secret.csv").write_text("secret")
    (folder.path / "heights.csv").symlink_to(tmp_path / "secret.csv")
    refused = told(kept, folder, "heights.csv", bytes, remedy="Move it.")
    assert refused == f"heights.csv: is a link out of the site's folder. {DONE} Move it."
    assert kept(folder, "none.csv", bytes, remedy="Move it.") is None
    (folder.path / "own.csv").write_bytes(b"own")
    assert kept(folder, "own.csv", bytes, remedy="Move it.") == b"own"


@pytest.mark.parametrize("linked", ["exports", "exports/map.html"])
def test_an_export_replaces_nothing_outside(folder, tmp_path, linked):
    """What stands in exports is replaced unasked."""
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "map.html").write_text("not mine")
    if linked == "exports":
        (folder.path / "exports").symlink_to(outside)
    else:
        (folder.path / "exports").mkdir()
        (folder.path / "exports" / "map.html").symlink_to(outside / "map.html")
    page = export.Rendered("map", "map.html", "Map", "crew", b"<html>")
    assert told(export.write, page, folder, None, force=False) == out("exports/map.html")
    assert (outside / "map.html").read_text() == "not mine"


def test_a_damaged_site_is_told_though_its_backups_lead_elsewhere(folder, other):
    replaced(folder.private / "backups", other.private / "backups")
    folder.site.write_bytes(b"{")
    with pytest.raises(SiteDamaged, match="There is no good backup"):
        site_store.load(folder)
