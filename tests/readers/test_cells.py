"""Columns of a text table: numbers when all are, text where the schema says so."""

import pytest

from lawnmap.errors import InputRefused
from lawnmap.readers.cells import column


def read(name, *cells):
    return column(name, cells, range(2, 2 + len(cells)))


@pytest.mark.parametrize(
    ("cells", "values"),
    [
        (["3", " 4 ", ""], [3, 4, None]),
        (["3", "4.5"], [3, 4.5]),
        (["1e2", "-0.5"], [100.0, -0.5]),
        (["3", "n/a"], ["3", "n/a"]),
        (["007", "8"], ["007", "8"]),
        (["0", "0.5"], [0, 0.5]),
        (["12345678901234567890", "1"], ["12345678901234567890", "1"]),
        (["nan", "1"], ["nan", "1"]),
        (["", " "], [None, None]),
        (["a, b", " c "], ["a, b", " c "]),
    ],
)
def test_values(cells, values):
    found = read("moss_rating", *cells)
    assert found == values
    assert [type(each) for each in found] == [type(each) for each in values]


def test_names_and_ids_stay_text():
    for name in ("zone_id", "Name", "client_number", "public_note"):
        assert read(name, "1", "02") == ["1", "02"]


def test_decimal_commas_are_refused_with_the_line():
    with pytest.raises(InputRefused, match="'thatch_mm' has decimal commas") as caught:
        read("thatch_mm", "7", "7,5")
    assert caught.value.place == "line 3"
    assert read("public_note", "7", "7,5") == ["7", "7,5"]
    assert read("grid", "1,2,3", "7,5") == ["1,2,3", "7,5"]


@pytest.mark.parametrize(
    ("written", "read_back"),
    [
        # The characters that a spreadsheet takes for a formula: OWASP, CSV Injection.
        ("'=1+1", "=1+1"),
        ("'+44", "+44"),
        ("'-a", "-a"),
        ("'@sum", "@sum"),
        ("'\tx", "\tx"),
        ("'\rx", "\rx"),
        ("'\nx", "\nx"),
        ("'  =x", "  =x"),
        ("''=x", "'=x"),
        ("'tis", "'tis"),
        ("x'=", "x'="),
        ("'", "'"),
        ("=x", "=x"),
    ],
)
def test_the_guard_before_formulas_comes_off(written, read_back):
    assert read("name", written) == [read_back]
