"""The file of a surface: what goes in comes out, and nothing else is taken."""

import json
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.store import surface as store
from lawnmap.store.folder import Folder
from tests.processing.sun.surfaces import block, surface

GIVEN = surface(block((-2, -2, 2, 2), 3.126), cell=1.0, half=5, turn_deg=20)
GIVEN.heights[0, 0] = math.nan
DATA = store.encode(GIVEN)


def test_a_surface_comes_back_to_half_a_centimetre():
    again = store.parse(DATA)
    assert again == GIVEN  # all but the heights
    assert again.heights == pytest.approx(GIVEN.heights, abs=0.0051, nan_ok=True)
    assert np.isnan(again.heights[0, 0])
    assert store.encode(again) == DATA


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("format", 2),
        ("format", True),
        ("shape", [11, 10]),
        ("shape", [11.0, 11]),
        ("shape", [121, 1]),
        ("shape", [3, 100_000]),
        ("cm", None),
        ("cm", [None] * 121),
        ("cm", [1.5] * 121),
        ("cm", [2_000_000] * 121),
        ("cm", [10**400] * 121),
        ("first", [200, 50]),
        ("first", [0, 89.5]),
        ("first", ["a", "b"]),
        ("column", [0, 0]),
        ("column", [30, 0]),
        ("row", [math.cos(math.radians(20)), math.sin(math.radians(20))]),  # along the columns
        ("row", [1]),
        ("read_on", "yesterday"),
        ("read_on", 20261126),
    ],
)
def test_what_is_no_surface_is_refused(name, value):
    changed = {**json.loads(DATA), name: value}
    with pytest.raises(InputRefused, match=r"surface\.json"):
        store.parse(json.dumps(changed).encode())


@given(st.binary(max_size=60), st.integers(0, len(DATA)))
def test_any_bytes_are_taken_or_refused(noise, at):
    try:
        found = store.parse(DATA[:at] + noise + DATA[at + len(noise) :])
        sound = bool(np.isfinite(found.heights).any())
    except InputRefused as error:
        sound = "surface.json" in str(error)
    assert sound


def test_a_link_out_of_the_folder_is_refused(tmp_path):
    folder = Folder(tmp_path / "garden")
    folder.path.mkdir()
    assert store.read(folder) is None
    (tmp_path / "elsewhere.json").write_bytes(DATA)
    (folder.path / store.NAME).symlink_to(tmp_path / "elsewhere.json")
    with pytest.raises(InputRefused, match="link out"):
        store.read(folder)
