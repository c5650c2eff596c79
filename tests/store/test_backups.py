import datetime as dt

import pytest

from lawnmap.errors import InputRefused, WriteFailed
from lawnmap.store import backups
from lawnmap.store.backups import keep, listed, newest_good, next_revision, prune
from lawnmap.store.folder import Folder
from lawnmap.store.site import load, save
from tests.disks import Without
from tests.store.sites import count_of, counted, made

DAY = dt.date(2027, 3, 31)


def saved_daily(folder, site, days, *, times=1, last=DAY):
    """Save `times` on each of the last `days` days; the count is the revision that results."""
    for back in range(days - 1, -1, -1):
        for _ in range(times):
            site = counted(site, site.revision + 1)
            site = save(folder, site, today=last - dt.timedelta(back)).site
    return site


def test_a_backup_is_the_state_before(tmp_path):
    folder, site = made(tmp_path / "garden")
    first = folder.site.read_bytes()
    inode = folder.site.stat().st_ino
    save(folder, counted(site, 2), today=DAY)
    (backup,) = listed(folder)
    assert (backup.revision, backup.day) == (1, DAY)
    assert backup.path.read_bytes() == first
    assert backup.path.stat().st_ino == inode  # a second name, not a copy


def test_writing_into_the_live_file_does_not_reach_a_backup(tmp_path):
    folder, site = made(tmp_path / "garden")
    save(folder, counted(site, 2), today=DAY)
    folder.site.write_bytes(b"overwritten in place")
    assert count_of(type(site)(backups.read(listed(folder)[0]))) == 0


def test_the_last_five_of_one_day(tmp_path):
    folder, site = made(tmp_path / "garden")
    saved_daily(folder, site, 1, times=9)
    assert [backup.revision for backup in listed(folder)] == [9, 8, 7, 6, 5]


def test_one_a_day_for_thirty_days(tmp_path):
    folder, site = made(tmp_path / "garden")
    saved_daily(folder, site, 40, times=3)
    kept = listed(folder)
    ages = [(DAY - backup.day).days for backup in kept]
    assert sorted(set(ages)) == list(range(31))
    # Five generations span today and yesterday; every older day has its last state.
    assert [backup.revision for backup in kept[:5]] == [120, 119, 118, 117, 116]
    assert [backup.revision for backup in kept[5:]] == [114 - 3 * back for back in range(29)]
    assert all(backups.read(backup)["lawnmap"]["revision"] == backup.revision for backup in kept)


def test_five_stay_however_old_they_are(tmp_path):
    folder, site = made(tmp_path / "garden")
    site = saved_daily(folder, site, 8, last=dt.date(2020, 1, 1))
    save(folder, site, today=DAY)
    assert [backup.revision for backup in listed(folder)] == [9, 8, 7, 6, 5]


def test_a_clock_that_was_wrong_deletes_nothing_of_today(tmp_path):
    folder, site = made(tmp_path / "garden")
    site = saved_daily(folder, site, 2, times=3, last=dt.date(2077, 1, 1))
    saved_daily(folder, site, 1, times=6)
    kept = listed(folder)
    assert [backup.revision for backup in kept] == [12, 11, 10, 9, 8, 6, 3]


def test_file_times_do_not_matter(tmp_path):
    folder, site = made(tmp_path / "garden")
    site = saved_daily(folder, site, 3)
    for backup in listed(folder):
        import os

        os.utime(backup.path, (0, 0))
    save(folder, site, today=DAY)
    assert [backup.revision for backup in listed(folder)] == [4, 3, 2, 1]


def test_without_links_a_copy_is_made(tmp_path):
    folder, site = made(tmp_path / "garden")
    before = folder.site.read_bytes()
    save(folder, counted(site, 2), today=DAY, disk=Without("link"))
    (backup,) = listed(folder)
    assert backup.path.read_bytes() == before
    assert backup.path.stat().st_nlink == 1


def test_the_same_backup_twice(tmp_path):
    folder, _ = made(tmp_path / "garden")
    keep(folder, 1, today=DAY)
    keep(folder, 1, today=DAY)
    assert len(list(folder.backups.iterdir())) == 1


def test_no_backup_no_save(tmp_path):
    folder, site = made(tmp_path / "garden")
    folder.backups.write_bytes(b"in the way")
    before = folder.site.read_bytes()
    with pytest.raises(WriteFailed):
        save(folder, counted(site, 2))
    assert folder.site.read_bytes() == before


def test_a_prune_that_fails_is_a_warning(tmp_path):
    folder, site = made(tmp_path / "garden")
    site = saved_daily(folder, site, 1, times=5)

    class Stuck(Without):
        def do(self, call, /, *args, **kwargs):
            if call.__name__ == "unlink" and "r000001" in str(args[0]):
                raise PermissionError(13, "Permission denied")
            return self.disk.do(call, *args, **kwargs)

    saved = save(folder, counted(site, 7), today=DAY, disk=Stuck("unlink"))
    assert saved.warnings == ("Old backups could not be removed (Permission denied).",)
    assert count_of(load(folder)) == 7
    assert prune(folder, today=DAY) == ()
    assert listed(folder)[-1].revision == 2


def test_other_files_are_not_taken_for_backups(tmp_path):
    folder, site = made(tmp_path / "garden")
    save(folder, site, today=DAY)
    for name in ("r000009-2027-02-31.geojson", "r9-2027-02-01.geojson", ".tmp", "notes.txt"):
        (folder.backups / name).write_bytes(b"")
    assert [backup.revision for backup in listed(folder)] == [1]
    prune(folder, today=DAY)
    assert len(list(folder.backups.iterdir())) == 5


def test_a_folder_without_backups(tmp_path):
    folder = Folder(tmp_path)
    assert listed(folder) == []
    assert newest_good(folder) is None
    assert next_revision(folder) == 1
    folder.private.write_bytes(b"in the way")
    assert newest_good(folder) is None


def test_the_newest_good_one(tmp_path):
    folder, site = made(tmp_path / "garden")
    saved_daily(folder, site, 3)
    newest = listed(folder)[0]
    newest.path.unlink()  # else the second name is written into as well
    newest.path.write_bytes(b"{")
    with pytest.raises(InputRefused):
        backups.read(newest)
    assert newest_good(folder).revision == newest.revision - 1
    assert next_revision(folder) == newest.revision + 2
