"""The sheet of a tape survey: every cell understood, or the line said."""

import pytest

from lawnmap.errors import InputRefused
from lawnmap.readers.tape import reader as tape
from lawnmap.readers.tape.names import points
from lawnmap.readers.tape.rows import rows, unit
from lawnmap.readers.tape.sheet import sheet as understood
from tests.readers.tape_rows import HEADER, read, sheet, source

GOOD = ["baseline,A,B,5", "tie,A,C,3,,left", "tie,B,C,4", "outline,,,,,,,A B C,Plot"]


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("tie,A,D,12_5", "line 3: '12_5' is not a length"),
        ('tie,A,D,"12,5"', "line 3: '12,5' has a decimal comma"),
        ("tie,A,D,-3", "line 3: '-3' is not above zero"),
        ("tie,A,D,0", "line 3: '0' is not above zero"),
        ("tie,A,D,2500", "line 3: '2500' is 2,500 m, over 2,000 m"),
        ("tie,A,D,", "line 3: the tie has no length"),
        ("tie,,D,3", "line 3: the tie has no from"),
        ("tie,A,A,3", "line 3: leads from A to itself"),
        ("tie,A,D,3,4", "line 3: a cell under along has no meaning for a tie"),
        ("tie,A,D,3,,up", "line 3: the side is 'up'"),
        ("tie,A,the old oak tree,3", "line 3: 'the old oak tree' is no name"),
        ("tie,A,xxxxxxxxxxxxxxxxxxxxx,3", "is no name for a point"),
        ("rope,A,D,3", "line 3: the measure is 'rope'. Nothing was changed. It can be: unit, base"),
        ("leg,A,D,3", "line 3: the leg has no bearing"),
        ("leg,A,D,3,,,N99E", "line 3: 'N99E' is more than a quarter"),
        ("offset,A,B,3", "line 3: the offset has no along"),
        ("offset,A,B,3,1", "line 3: the offset does not say on which side of A to B"),
        ("offset,A,B,3,1,left,,A", "line 3: is an offset to A itself"),
        ("offset,A,B,3,1,left,,X Y", "line 3: an offset leads to one point"),
        ("offset,A,B,3,-1,left", "line 3: '-1' is not above zero"),
        ("left,A,B,,,,,A", "line 3: the line's own ends have no side"),
        ("left,A,B,,,,,Z", "line 3: Z stands in no measure"),
        ("left,A,B,,,,,c", "line 3: c stands in no measure, but C does"),
        ("left,A,Y,,,,,C", "line 3: Y stands in no measure"),
        ("outline,,,,,,,A B,Two", 'line 3 "Two": the outline has 2 points'),
        ("outline,,,,,,,A B C B,Loop", 'line 3 "Loop": the outline comes to B twice'),
        ("outline,,,,,,,A B Q,Far", "line 3: Q stands in no measure"),
        ("outline,,,,,,,", "line 3: the outline has no points"),
        ("spot,,,,,,,A B,,tree", "line 3: the spot has 2 points"),
        ("line,,,,,,,A,,hedge", "line 3: the line has 1 point. "),
        ("unit,,,ft", "line 3: the unit is 'ft' after it was 'm'"),
        (",A,B,5", "line 3: the measure is ''"),
    ],
)
def test_a_cell_that_is_wrong_is_refused_with_its_line(row, words):
    with pytest.raises(InputRefused) as caught:
        read(row, *GOOD)
    assert words in str(caught.value)
    assert caught.value.file == "tape.csv"
    assert caught.value.remedy


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (f"{HEADER}\n", "holds no measured line"),
        (sheet(*GOOD[:-1]), "has no outline"),
        (sheet(GOOD[-1]), "holds no measured line"),
        ("a,b,c\n1,2,3\n", "is not a tape sheet"),
        ("measure,from,to,length,point,corners\n", "two columns could be 'points'"),
        ("measure,from,to,length,length\n", "two columns are called"),
        ("measure,from,to,length\ntie,A,B,12,5\n", "line 2: has 5 cells under 4 column names"),
        ("measure,from,to,length\ntie,A,B\n", "line 2: has 3 cells"),
        ('measure,from,to,length\ntie,"A,B,12\n', "not a sound table"),
        (f"measure,from,to,length,x\ntie,A,B,5,{'y' * 140_000}\n", "line 2"),
        (b"measure,from,to,length\ntie,A,\xe9,5\n", "not UTF-8"),
        (b"measure,from,to,length\ntie,A\0,B,5\n", "NUL"),
        (sheet(*GOOD, *(f"tie,A,B,5,,,,,n{i}" for i in range(5000))), "more than 5,000 rows"),
        (sheet(*GOOD, *(f"tie,A,p{i},5" for i in range(500))), "more than 500 points"),
        (sheet(*GOOD, *["left,A,B,,,,,p0..p499"] * 21), "points are named in all"),
        (sheet(*GOOD, "left,A,B,,,,,p0..p9999"), "more than 500 points"),
        (sheet(*GOOD, "tie,A,o1,3", "offset,A,B,1,1,left"), "o1 is the name of a point and the"),
    ],
)  # fmt: skip
def test_a_sheet_that_is_wrong_is_refused(text, words):
    with pytest.raises(InputRefused) as caught:
        tape.read(source(text))
    assert words in str(caught.value)


@pytest.mark.parametrize("separator", [";", "\t"])
def test_other_separators_and_blank_rows(separator):
    text = sheet(*GOOD, "", ",,").replace(",", separator)
    assert tape.read(source(text)).features == tape.read(source(sheet(*GOOD))).features


def test_a_decimal_comma_in_a_sheet_with_semicolons_is_refused_with_its_line():
    text = sheet(*GOOD).replace(",", ";").replace(";4;", ";4,5;")
    with pytest.raises(InputRefused, match="'4,5' has a decimal comma") as caught:
        tape.read(source(text))
    assert caught.value.place == "line 5"


def test_a_mark_and_capitals_and_line_ends_of_other_systems():
    text = sheet(*GOOD).replace("measure", "Measure").replace("tie", "Tie").replace("left", "L")
    data = b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode()
    assert tape.read(source(data)).features == tape.read(source(sheet(*GOOD))).features


def test_the_few_columns_that_are_needed_will_do():
    text = "measure,from,to,length,points\nbaseline,A,B,5 m,\nleft,A,B,,C\ntie,A,C,3 m,\n"
    found = tape.read(source(f"{text}tie,B,C,4 m,\noutline,,,,A B C\n"))
    assert found.features[0].properties["name"] is None


def test_points_are_listed_or_counted():
    assert points("A B,C; D") == ["A", "B", "C", "D"]
    assert points("o3..o1 x9..x11") == ["o3", "o2", "o1", "x9", "x10", "x11"]
    with pytest.raises(InputRefused, match="no name"):
        points("a1..b3")


def test_offsets_without_a_name_are_numbered():
    found, _ = rows(sheet("baseline,A,B,9", "offset,A,B,1,1,left", "offset,A,B,1,2,right,,X",
                          "offset,A,B,0,3", "outline,,,,,,,A o1 o2"))  # fmt: skip
    made = understood(found, unit(found, None))
    assert [(each.point, each.left_m) for each in made.offsets] == [
        ("o1", 1.0), ("X", -1.0), ("o2", 0.0),
    ]  # fmt: skip
    assert made.points == ["A", "B", "o1", "X", "o2"]
