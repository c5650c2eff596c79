"""What an earlier lawnmap sealed is still read, and is nothing once a letter in it is another.

The files under ``sealed/`` were written by the code before there was one seal for all four.
"""

from pathlib import Path

import pytest

from lawnmap.errors import SiteDamaged
from lawnmap.files.seal import digest_of, seal_of
from lawnmap.jobs.sites.kept import Kept
from lawnmap.jobs.sites.table import marked
from lawnmap.store import journal, sunlight
from lawnmap.store.folder import SITE, Folder

SEALED = Path(__file__).parent / "sealed"


def test_a_seal_is_the_digest_of_the_text_that_is_kept():
    # https://www.di-mgt.com.au/sha_testvectors.html: SHA-256 of "abc"
    known = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert digest_of(b"abc") == known
    assert seal_of({"länge": [1, 0.1]}) == digest_of('{"länge":[1,0.1]}'.encode())


def cut_off(tmp_path, data):
    folder = Folder(tmp_path / "garden")
    folder.journal.parent.mkdir(parents=True)
    folder.journal.write_bytes(data)
    try:
        journal.finish(folder)
    except SiteDamaged:
        return None
    return (folder.path / "record.csv").read_text("utf-8"), (folder.path / SITE).exists()


def sun(tmp_path, data):
    folder = Folder(tmp_path)
    folder.cache.mkdir(parents=True)
    (folder.cache / "sun-0123456789ab.json").write_bytes(data)
    found = sunlight.read(folder, "0123456789ab")
    return found and (found.told, found.zones["a"].mean_h)


def part(tmp_path, data):
    kept = Kept(tmp_path / "out")
    kept.folder.mkdir(parents=True)
    (kept.folder / f"{digest_of(b'north')[:32]}.json").write_bytes(data)
    found = kept.read("north", "d1")
    return found and found["site"]["title"]


def mark(tmp_path, data):
    room = marked.tables(tmp_path)
    room.folder.mkdir(parents=True)
    (room.folder / marked.MARK).write_bytes(data)
    found = room.told("d1")
    return found and found["told"]


KINDS = pytest.mark.parametrize(
    ("name", "read", "holds", "letter"),
    [
        ("journal.json", cut_off, ("länge\n", True), b"bMOk"),
        ("sun.json", sun, (("Höfe: one wall.",), 4.5), b"4.5,"),
        ("part.json", part, "Gärten", b"1e-17"),
        ("rests_on.json", mark, ["Säume"], b"told"),
    ],
)


@KINDS
def test_what_was_sealed_before_is_read_and_not_once_it_is_damaged(
    tmp_path, name, read, holds, letter
):
    data = (SEALED / name).read_bytes()
    assert read(tmp_path / "whole", data) == holds
    assert letter in data
    assert not read(tmp_path / "torn", data.replace(letter, letter[:-1] + b"5", 1))
