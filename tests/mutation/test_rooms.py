"""The rooms of the mutation run name what is there; the run itself takes too long for every day."""

import re
from pathlib import Path

import pytest

from tests.mutation.mutate import ROOMS, configuration

HOUSE = Path(__file__).parents[2]


@pytest.mark.parametrize("name", ROOMS)
def test_every_module_and_every_test_is_there(name):
    room = ROOMS[name]
    for pattern in room.modules:
        assert list(HOUSE.glob(pattern)), pattern
    for path in room.tests:
        assert (HOUSE / path).exists(), path
    for test in room.without:
        path, _, function = test.partition("::")
        text = (HOUSE / path).read_text(encoding="utf-8")
        assert not function or re.search(
            rf"^def {function.partition('[')[0]}\(", text, re.MULTILINE
        )


def test_the_files_are_all_in_a_room():
    found = {path for room in ROOMS.values() for each in room.modules for path in HOUSE.glob(each)}
    left = {path.stem for path in (HOUSE / "lawnmap" / "files").glob("*.py")} - {
        path.stem for path in found
    }
    assert left == {"limits"} | ({"__init__"} - {path.stem for path in found})  # nothing to mutate


def test_one_module_alone():
    text = configuration(ROOMS["files"], ["utf8"])
    assert "only_mutate = ['lawnmap/files/utf8.py']" in text
    assert "tests/files/test_utf8.py" in text
