"""Tables as RFC 4180 has them, and what it calls malformed."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.files.csv_text import LONGEST_CELL, MOST_COLUMNS, header, parse

CELLS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=12)


def assert_refused(text, told, separator=",", most_cells=1000):
    with pytest.raises(InputRefused, match=told) as caught:
        parse(text, separator, most_cells=most_cells)
    assert caught.value.remedy
    return caught.value.place


def test_the_examples_of_rfc_4180():
    # Section 2, rules 1 to 7.
    table = parse(
        'field_name,field_name2,c\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n"aaa","b \r\nbb","ccc"\r\n'
        'zzz,yyy,xxx\r\n"aaa","b""bb","ccc"',
        ",",
        most_cells=1000,
    )
    assert table.header == ["field_name", "field_name2", "c"]
    assert table.rows == [
        ["aaa", "bbb", "ccc"],
        ["zzz", "yyy", "xxx"],
        ["aaa", "b \r\nbb", "ccc"],
        ["zzz", "yyy", "xxx"],
        ["aaa", 'b"bb', "ccc"],
    ]
    assert table.lines == [2, 3, 4, 6, 7]


@given(st.lists(st.lists(CELLS, min_size=2, max_size=2), max_size=5), st.sampled_from(",;\t"))
def test_what_the_standard_library_writes(rows, separator):
    memory = io.StringIO()
    writer = csv.writer(memory, delimiter=separator, quoting=csv.QUOTE_ALL)
    writer.writerows([["a", "b"], *rows])
    assert parse(memory.getvalue(), separator, most_cells=1000).rows == rows


def test_blank_lines_are_passed_over():
    table = parse("\n\na, b \n\n1,2\n\n", ",", most_cells=10)
    assert (table.header, table.rows, table.lines) == (["a", "b"], [["1", "2"]], [5])


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_end_of_line(end):
    table = parse(end.join(["a,b", "1,2", "3,4"]), ",", most_cells=10)
    assert (table.rows, table.lines) == ([["1", "2"], ["3", "4"]], [2, 3])


def test_nothing_but_a_header():
    assert parse("a,b", ",", most_cells=10).rows == []


@pytest.mark.parametrize(
    ("text", "told", "place"),
    [
        ('a,b\n1,2\n3,"4\n5,6\n', "unexpected end of data", "line 3"),
        ('a,b\n1,"2"3\n', "expected after", "line 2"),
        ("a,b\n1,2,3\n", "3 cells under 2 column names", "line 2"),
        ("a,b\n1,2\n3\n", "1 cells under 2", "line 3"),
        ("a,A\n", "two columns are called 'A'", "line 1"),
        ("a,,b\n", "column 2 has no name", "line 1"),
        ("a,b\n1," + "x" * 200_000 + "\n", "larger than field limit|more than 131,072", "line 2"),
    ],
)
def test_what_is_refused(text, told, place):
    assert assert_refused(text, told) == place


def test_a_field_limit_that_a_library_raised_changes_nothing():
    before = csv.field_size_limit(10**9)
    try:
        assert assert_refused("a\n" + "x" * (LONGEST_CELL + 1), "more than 131,072") == "line 2"
    finally:
        csv.field_size_limit(before)


def test_cells_are_counted():
    assert len(parse("a,b\n" + "1,2\n" * 5, ",", most_cells=10).rows) == 5
    assert_refused("a,b\n" + "1,2\n" * 6, "more than 10 cells", most_cells=10)
    assert_refused("a,b\n" + "\n" * 10, "more than 10 cells or lines", most_cells=10)


def test_the_header_alone():
    assert header("\n a ;b\n1;2", ";") == ["a", "b"]
    assert header('"a', ",") == []
    assert header("", ",") == []
    with pytest.raises(InputRefused, match="more than 1,000 columns"):
        header("," * MOST_COLUMNS, ",")


def test_as_many_columns_as_are_allowed():
    assert len(header("a," * (MOST_COLUMNS - 1) + "b", ",")) == MOST_COLUMNS


def test_the_longest_cell_is_allowed():
    cell = "x" * LONGEST_CELL
    assert parse(f"a\n{cell}", ",", most_cells=10).rows == [[cell]]
