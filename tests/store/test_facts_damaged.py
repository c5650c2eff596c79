"""A damaged site file through the commands: told with the newest good backup, and brought back.

Whatever was done to it, nothing is overwritten before somebody asks, and nothing is lost then.
"""

import re

import pytest

from lawnmap.jobs.check import backups_of
from lawnmap.store import site as site_store
from tests.store.facts_damage import COMMANDS, FILE_DAMAGES, damaged_state, run, told
from tests.store.facts_use import copied

CUTS = range(16)
DAMAGES = {name: each for name, each in FILE_DAMAGES.items() if name != "cut"}
OFFER = r"newest good backup is revision 2 of (\d{4}-\d\d-\d\d): lawnmap check SITE --restore"
READ = ("check", "measure", "record", "assess", "compare", "sampling", "read")


@pytest.fixture
def garden(tmp_path):
    return copied(tmp_path / "depot")


def assert_told_and_brought_back(garden, tmp_path, commands=("check",)):
    """Assert that commands tell the damage and touch nothing, and that --restore undoes it."""
    before = damaged_state(garden)
    for name in commands:
        done = told(garden, COMMANDS[name], tmp_path)
        assert done.code == 4, (name, done.err)
        lines = [line for line in done.err.splitlines() if line.startswith("lawnmap: ")]
        assert len(lines) == 1
        assert lines[0].startswith("lawnmap: site.geojson: ")
        assert "Nothing was changed." in lines[0]
        day = re.search(OFFER, lines[0])
        assert day is not None, lines[0]
        assert day[1] == backups_of(garden.folder)[0].day.isoformat()
        assert damaged_state(garden) == before
    back = run("check", garden.folder.path, "--restore")
    assert (back.code, back.out) == (0, "Saved as revision 4.\n")
    there = site_store.load(garden.folder)
    assert there.revision == 4
    assert [str(each) for each in there.zones.index] == ["front", "back"]
    after = damaged_state(garden)
    gone = {path for path, data in before.items() if data not in after.values()}
    assert not gone - {str(garden.folder.site)} or not before[str(garden.folder.site)]


@pytest.mark.parametrize("damage", DAMAGES)
def test_a_damaged_site_is_told_and_brought_back(garden, tmp_path, damage, figure):
    DAMAGES[damage](garden.folder.site)
    assert_told_and_brought_back(garden, tmp_path, READ if damage == "NUL" else ("check",))
    figure(15, f"{damage}: told with the backup, nothing overwritten, brought back")


def test_a_site_that_was_cut_anywhere_is_told_and_brought_back(tmp_path, figure):
    for part in CUTS:
        garden = copied(tmp_path / f"depot {part}")
        data = garden.folder.site.read_bytes()
        garden.folder.site.write_bytes(data[: len(data) * part // len(CUTS)])
        assert_told_and_brought_back(garden, tmp_path)
    figure(15, f"cut at {len(CUTS)} places: told with the backup, nothing overwritten, "
               "brought back")  # fmt: skip


def test_a_site_of_a_newer_lawnmap_is_told_and_never_replaced(garden, tmp_path, figure):
    newer = garden.folder.site.read_bytes().replace(b'"format":1', b'"format":2')
    garden.folder.site.write_bytes(newer)
    before = damaged_state(garden)
    for name in READ:
        done = told(garden, COMMANDS[name], tmp_path)
        assert done.code == 4
        assert "Install a newer lawnmap" in done.err
    assert run("check", garden.folder.path, "--restore").code == 4
    assert damaged_state(garden) == before
    figure(15, "a newer format: told, nothing overwritten, not even when asked to restore")


def test_what_stood_in_its_place_is_kept(garden):
    FILE_DAMAGES["a folder"](garden.folder.site)
    assert run("check", garden.folder.path, "--restore").code == 0
    assert (garden.folder.path / "site.damaged" / "something").read_bytes() == b"of somebody"
    FILE_DAMAGES["a link to itself"](garden.folder.site)
    assert run("check", garden.folder.path, "--restore").code == 0
    assert (garden.folder.path / "site.damaged-2").is_symlink()


def test_a_site_that_may_not_be_read_is_no_damage(garden, monkeypatch, tmp_path):
    from tests.store.facts_damage import unreadable

    before = damaged_state(garden)
    with unreadable(garden.folder.site, monkeypatch):
        done = told(garden, COMMANDS["check"], tmp_path)
    assert done.code == 3
    assert "cannot be opened (Permission denied)" in done.err
    assert damaged_state(garden) == before
