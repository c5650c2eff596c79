"""docs/plugins.md shows the package as it is: what is built and used here is what people copy."""

import re

import pytest

from lawnmap.reference import bringing, reading
from tests.outside.conftest import HERE, ROOT

MEADOW = HERE / "meadow"
PAGE = (ROOT / "docs" / "plugins.md").read_text(encoding="utf-8")
SHOWN = dict(re.findall(r"(?ms)^\*\*`([\w./-]+)`\*\*\n\n```\w+\n(.*?)^```$", PAGE))
FILES = {
    path.relative_to(MEADOW).as_posix()
    for path in MEADOW.rglob("*")
    if path.is_file() and "__pycache__" not in path.parts
}


def test_every_file_of_the_package_is_shown_and_no_other():
    assert set(SHOWN) == FILES


@pytest.mark.parametrize("name", sorted(FILES))
def test_a_file_is_shown_as_it_is(name):
    assert SHOWN[name] == (MEADOW / name).read_text(encoding="utf-8")


def test_the_minutes_are_fifteen_and_in_order():
    minutes = [int(each) for each in re.findall(r"(?m)^### Minute (\d+):", PAGE)]
    assert minutes == sorted(minutes)
    assert (minutes[0], minutes[-1]) == (0, 15)


def test_the_files_that_may_be_brought_are_told_with_their_columns():
    rows = dict(re.findall(r"(?m)^\| ((?:`\w+\.csv`(?:, )?)+) \| ([\w, ]+) \|", PAGE))
    told = {
        name: columns
        for names, columns in rows.items()
        for name in re.findall(r"(\w+)\.csv", names)
    }
    assert set(told) == set(bringing.TABLES)
    for name, columns in told.items():
        assert columns.split(", ") == list(reading.lines(name)[0]), name
