import base64
import contextlib
import json

import pytest

from lawnmap.errors import InputRefused, SiteDamaged, WriteFailed
from lawnmap.files.lock import locked
from lawnmap.store import document, journal
from lawnmap.store.folder import SITE
from lawnmap.store.site import load, save
from tests.disks import Failing, Recording
from tests.store.sites import count_of, counted, made

REPLY = f"replies/{'0f' * 32}.json"


@pytest.fixture
def folder(tmp_path):
    folder, site = made(tmp_path / "garden")
    save(folder, counted(site, 2))
    return folder


def written(folder, revision, files, /, **changes):
    """Lay a journal as a killed writer leaves it."""
    packed = {name: base64.b64encode(data).decode() for name, data in files.items()}
    value = {"journal": 1, "revision": revision, "files": packed, **changes}
    folder.journal.write_text(json.dumps(value), encoding="utf-8")


def site_at(folder, revision, count):
    new = counted(load(folder), count).with_header(revision=revision)
    return document.encode(new.document, name=SITE).data


def test_files_change_together_in_new_folders_too(folder):
    also = {"record.csv": b"a\n", REPLY: b"{}", "surveys/2027-03-01.geojson": b"{}"}
    site = save(folder, counted(load(folder), 3), also=also).site
    assert site.revision == 3
    assert count_of(load(folder)) == 3
    for name, data in also.items():
        assert (folder.path / name).read_bytes() == data
    assert not journal.pending(folder)


def test_the_site_comes_last(folder):
    disk = Recording()
    save(folder, counted(load(folder), 3), also={"record.csv": b"a", REPLY: b"{}"}, disk=disk)
    order = [str(call.args[1]) for call in disk.calls if call.name == "replace"]
    names = [path.rsplit("/", 1)[1] for path in order]
    assert names == ["journal", "record.csv", REPLY.rsplit("/", 1)[1], "site.geojson"]


def test_a_change_that_was_cut_off_is_finished_on_loading(folder):
    written(folder, 3, {SITE: site_at(folder, 3, 9), "record.csv": b"nine\n"})
    assert count_of(load(folder)) == 9
    assert folder.record.read_bytes() == b"nine\n"
    assert not journal.pending(folder)
    assert list(folder.path.glob("site.found*")) == []


def test_a_change_that_was_cut_off_is_finished_before_a_save(folder):
    mine = counted(load(folder), 5)
    written(folder, 3, {SITE: site_at(folder, 3, 9), "record.csv": b"nine\n"})
    with pytest.raises(Exception, match="now at revision 3"):
        save(folder, mine)
    assert count_of(load(folder)) == 9


def test_a_journal_that_was_done_with_undoes_nothing(folder):
    old = {SITE: site_at(folder, 3, 9), "record.csv": b"nine\n"}
    save(folder, counted(load(folder), 3), also={"record.csv": b"three\n"})
    save(folder, counted(load(folder), 4))
    written(folder, 3, old)
    assert count_of(load(folder)) == 4
    assert folder.record.read_bytes() == b"three\n"
    assert not journal.pending(folder)


@pytest.mark.parametrize(
    "found", [b"{", b'{"type": "FeatureCollection", "features": []}', b"\0" * 10]
)
def test_what_another_program_wrote_since_is_kept(folder, found):
    written(folder, 3, {SITE: site_at(folder, 3, 9), "record.csv": b"nine\n"})
    folder.site.write_bytes(found)
    assert count_of(load(folder)) == 9
    assert (folder.path / "site.found.geojson").read_bytes() == found


def test_a_missing_site_is_put_back(folder):
    written(folder, 3, {SITE: site_at(folder, 3, 9)})
    folder.site.unlink()
    assert count_of(load(folder)) == 9


@pytest.mark.parametrize(
    "changes",
    [
        {"files": {"../outside": "eA=="}},
        {"files": {"/etc/passwd": "eA=="}},
        {"files": {"specification.toml": "eA=="}},
        {"files": {"record.csv": "not base64!"}},
        {"files": {"record.csv": 3}},
        {"files": []},
        {"files": None},
        {"journal": 2},
        {"revision": None},
        {"revision": "x"},
    ],
)
def test_a_damaged_or_hostile_journal_does_nothing(folder, changes):
    before = folder.site.read_bytes()
    written(folder, 3, {SITE: site_at(folder, 3, 9), "record.csv": b"nine\n"}, **changes)
    with pytest.raises(SiteDamaged, match="journal") as caught:
        load(folder)
    assert "Delete that file" in str(caught.value)
    assert folder.site.read_bytes() == before
    assert not folder.record.exists()
    assert not (folder.path.parent / "outside").exists()


@pytest.mark.parametrize("data", [b"", b"{", b"[]", b"\0" * 100])
def test_a_journal_that_is_no_json(folder, data):
    folder.journal.write_bytes(data)
    with pytest.raises(SiteDamaged, match="journal"):
        load(folder)
    assert folder.journal.read_bytes() == data


def test_a_journal_cannot_lead_out_of_the_folder(folder, tmp_path):
    outside = tmp_path / "outside"
    outside.write_bytes(b"outside")
    folder.record.symlink_to(outside)
    written(folder, 3, {SITE: site_at(folder, 3, 9), "record.csv": b"x"})
    with pytest.raises(SiteDamaged, match="cannot change together"):
        load(folder)
    assert outside.read_bytes() == b"outside"


class Unconfirmed(Recording):
    """Fails the sync of one folder."""

    def __init__(self, folder, *, stuck=False):
        super().__init__()
        self.folder, self.stuck = folder, stuck

    def sync_folder(self, folder):
        if folder == self.folder.resolve():
            raise OSError(5, "Input/output error")
        super().sync_folder(folder)

    def remove(self, path):
        if self.stuck and path.name == "journal":
            raise OSError(5, "Input/output error")
        return super().remove(path)


def test_a_journal_that_may_vanish_begins_nothing(folder):
    disk = Unconfirmed(folder.private)
    with pytest.raises(WriteFailed, match="did not confirm the journal") as caught:
        save(folder, counted(load(folder), 3), also={"record.csv": b"a"}, disk=disk)
    assert "Nothing was changed" in str(caught.value)
    assert not journal.pending(folder)
    assert count_of(load(folder)) == 2
    assert not folder.record.exists()


def test_a_journal_that_can_neither_be_trusted_nor_removed_counts(folder):
    disk = Unconfirmed(folder.private, stuck=True)
    with pytest.raises(WriteFailed, match="is finished when the site is next opened"):
        save(folder, counted(load(folder), 3), also={"record.csv": b"a"}, disk=disk)
    assert count_of(load(folder)) == 3
    assert folder.record.read_bytes() == b"a"


def test_an_unconfirmed_file_leaves_the_journal_for_the_next_opening(folder):
    disk = Unconfirmed(folder.path)
    saved = save(folder, counted(load(folder), 3), also={"record.csv": b"a"}, disk=disk)
    assert len(saved.warnings) == 2
    assert journal.pending(folder)
    assert count_of(load(folder)) == 3
    assert not journal.pending(folder)


def test_nothing_pending_needs_no_lock(folder):
    with locked(folder.lock):
        assert load(folder).revision == 2


def test_a_failing_disk_while_finishing_is_told(folder):
    written(folder, 3, {SITE: site_at(folder, 3, 9)})
    for number in range(1, 100):
        disk = Failing(number, for_good=True)
        with contextlib.suppress(WriteFailed, InputRefused):
            load(folder, disk=disk)
        if not disk.failed:
            break
    assert number > 10
    assert count_of(load(folder)) == 9
