"""The file of heights: written and read strictly, and changed together with the site or not."""

import random
import shutil
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused, LawnmapError, SiteDamaged, WriteFailed
from lawnmap.found import Heights
from lawnmap.store import heights as store
from lawnmap.store.folder import Folder
from lawnmap.store.journal import LATER
from lawnmap.store.site import load, save
from tests.disks import Failing
from tests.readers.mutants import outcomes
from tests.store.sites import count_of, counted, made

SPOTS = Heights(np.array([[0.1, 52.0, 3.25], [0.1001, 52.0, 4.0], [0.1, 52.0001, 1 / 3]]))
HEAD = "lon,lat,height_m,row,col\n"


def grid():
    points = np.zeros((12, 3))
    points[:, 0], points[:, 1] = np.tile([0.1, 0.2, 0.3, 0.4], 3), np.repeat([3.0, 2.0, 1.0], 4)
    points[:, 2] = np.arange(12) / 7
    points[[1, 7]] = np.nan
    return Heights(points, (3, 4))


def same(one, other):
    return one.shape == other.shape and np.array_equal(one.points, other.points, equal_nan=True)


@pytest.mark.parametrize("heights", [SPOTS, grid()])
def test_every_digit_comes_back(heights):
    assert same(store.parse(store.encode(heights)), heights)


@given(
    st.lists(
        st.tuples(st.floats(-180, 180), st.floats(-90, 90), st.floats(-12_000, 12_000)), min_size=3
    )
)
def test_any_heights_come_back(points):
    heights = Heights(np.array(points))
    assert same(store.parse(store.encode(heights)), heights)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("lon,lat,height_m\n1,2,3\n", "line 1: has not the columns"),
        (HEAD, "holds 0 heights"),
        (HEAD + "1,2,3,,\n1,3,3,,\n", "holds 2 heights"),
        (HEAD + "1,2,3,,\n1,3,nan,,\n2,2,3,,\n", "line 3: 'nan' is not a number"),
        (HEAD + "1,2,inf,,\n1,3,3,,\n2,2,3,,\n", "line 2: 'inf' is not a number"),
        (HEAD + "1,2,1e308,,\n1,3,3,,\n2,2,3,,\n", "line 2: height_m is 1e+308"),
        (HEAD + '1,2,"3,5",,\n1,3,3,,\n2,2,3,,\n', "line 2: '3,5' has a decimal comma"),
        (HEAD + "1,2,3,5,,\n", "line 2: has 6 cells under 5"),
        (HEAD + "1,91,3,,\n1,3,3,,\n2,2,3,,\n", "line 2: lat is 91"),
        (HEAD + "1,2,3,0,\n1,3,3,,\n2,2,3,,\n", "line 2: row and col are not whole"),
        (HEAD + "1,2,3,0,0\n1,3,3,0,-1\n2,2,3,1,1\n", "line 3: row and col are not whole"),
        (HEAD + "1,2,3,0,0\n1,3,3,0,1\n2,2,3,0,1\n", "line 4: is a second height"),
        (HEAD + "1,2,3,0,0\n1,3,3,0,1\n2,2,3,9999,9999\n", "is a grid of 10,000 rows by 10,000"),
        (HEAD + "1,2,3,0,0\n1,3,3,0,1\n2,2,3,9999999999,1\n", "line 4: row and col"),
        ("\0", "is not UTF-8"),
        ('"', "line 1: is not a sound table"),
    ],
)
def test_damage_is_told_with_its_line(text, told):
    with pytest.raises(InputRefused) as caught:
        store.parse(text.encode())
    assert f"heights.csv: {told}" in str(caught.value)
    assert "move heights.csv out of the folder" in str(caught.value)


def test_mutants_are_read_or_refused():
    found = outcomes(store.parse, store.encode(grid()))
    assert found["refused"] > found["read"] > 0


def test_a_site_has_its_heights(tmp_path):
    folder, new = made(tmp_path / "garden")
    assert load(folder).heights is None
    saved = save(folder, replace(new, heights=grid()), also={store.NAME: store.encode(grid())})
    assert same(saved.site.heights, grid())
    loaded = load(folder)
    assert same(loaded.heights, grid())
    # Whatever else is changed, they stay, in hand and on disk.
    again = save(folder, counted(loaded, 7)).site
    assert count_of(again) == 7
    assert same(again.heights, grid())
    assert same(load(folder).heights, grid())


def test_damaged_heights_are_told_and_nothing_is_overwritten(tmp_path):
    folder, _ = made(tmp_path / "garden")
    (folder.path / store.NAME).write_text("lon,lat\n")
    before = {path: path.read_bytes() for path in folder.path.rglob("*") if path.is_file()}
    with pytest.raises(SiteDamaged, match=r"heights\.csv: line 1: has not the columns"):
        load(folder)
    assert {path: path.read_bytes() for path in before} == before


def test_a_link_out_of_the_folder_is_not_followed(tmp_path):
    folder, _ = made(tmp_path / "garden")
    (tmp_path / "elsewhere.csv").write_bytes(store.encode(SPOTS))
    (folder.path / store.NAME).symlink_to(tmp_path / "elsewhere.csv")
    with pytest.raises(InputRefused, match="link out of the site's folder"):
        load(folder)


@pytest.mark.parametrize("for_good", [False, True])
def test_heights_and_site_change_together_or_not_at_all(tmp_path, for_good):
    random.seed(11)
    folder, new = made(tmp_path / "garden")
    save(folder, counted(new, 1), also={store.NAME: store.encode(SPOTS)})
    failed = []
    for count in range(1, 200):
        copy = Folder(tmp_path / f"copy-{count}")
        shutil.copytree(folder.path, copy.path)
        disk = Failing(count, for_good=for_good)
        new, told = counted(load(copy), 2), ""
        try:
            save(copy, new, also={store.NAME: store.encode(grid())}, disk=disk)
        except WriteFailed as error:
            told = str(error)
        if not disk.failed:
            break
        failed.append(disk.failed)
        wanted = 2 if not told or LATER in told else 1
        found = load(copy)
        assert count_of(found) == wanted
        assert same(found.heights, grid() if wanted == 2 else SPOTS)
    assert len(failed) > 40


@pytest.mark.parametrize("number", range(1, 8))
def test_a_disk_that_fails_on_loading_is_told(tmp_path, number):
    folder, new = made(tmp_path / "garden")
    save(folder, new, also={store.NAME: store.encode(SPOTS)})
    told, found = "", None
    try:
        found = load(folder, disk=(disk := Failing(number)))
    except LawnmapError as error:
        told = str(error)
    assert bool(told) == bool(disk.failed)
    assert "cannot be opened" in told if told else same(found.heights, SPOTS)
