"""Built twice it is the same file: whoever has the source can check what was handed out."""

import hashlib
import os
import tarfile
import zipfile

import pytest

from tests.house.conftest import MOMENT, build, copied


def digest(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.fixture(scope="module")
def again(built, tmp_path_factory):
    """Build the same tree elsewhere: other path, times, modes, umask, zone and locale."""
    source, _ = built
    tree = copied(source, tmp_path_factory.mktemp("second") / "a longer path" / "ü" / "tree")
    for number, path in enumerate(sorted(tree.rglob("*"))):
        os.utime(path, (981_173_106 + number, 981_173_106 + number))
        path.chmod(0o700 if path.is_dir() else 0o600)
    return build(
        tree,
        tree.parent / "out",
        umask=0o077,
        TZ="Pacific/Kiritimati",
        PYTHONHASHSEED="7",
        LC_ALL="C",
    )


@pytest.mark.parametrize("kind", ["wheel", "source archive"])
def test_built_twice_is_the_same_file(built, again, kind, figure):
    first, second = digest(built[1][kind]), digest(again[kind])
    figure(
        30,
        f"{kind}: SHA-256 {first[:12]}… and {second[:12]}… from two folders with other times, "
        f"modes, umask, zone and locale: {'the same' if first == second else 'different'}",
    )
    assert first == second


def test_the_moment_is_the_one_that_was_given(built):
    with zipfile.ZipFile(built[1]["wheel"]) as archive:
        assert {each.date_time for each in archive.infolist()} == {(2023, 11, 14, 22, 13, 20)}
        modes = {each.external_attr >> 16 & 0o777 for each in archive.infolist()}
    assert modes == {0o644}
    with tarfile.open(built[1]["source archive"]) as archive:
        members = archive.getmembers()
    assert {each.mtime for each in members} == {int(MOMENT)}
    assert {(each.uid, each.gid, each.uname, each.gname) for each in members} == {(0, 0, "", "")}


def test_nothing_of_the_machine_is_in_the_source_archive(built):
    tree, found = built
    with tarfile.open(found["source archive"]) as archive:
        names = {each.name.split("/", 1)[1] for each in archive.getmembers() if each.isfile()}
    assert not [name for name in names if "__pycache__" in name or name.endswith(".pyc")]
    assert {"pyproject.toml", "lawnmap/columns.csv", "docs/NOTICE", "README.md"} <= names
    there = {str(path.relative_to(tree)) for path in tree.rglob("*") if path.is_file()}
    assert names - there == {"PKG-INFO"}
