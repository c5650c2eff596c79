"""Closed days, typed by hand."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.logistics.work import Window
from lawnmap.store import closed
from lawnmap.store.folder import Folder

GOOD = b"""from,to,zones,reason,kind
2026-10-26,2026-10-30,,half-term,closed
2026-09-05,2026-09-05,front back,match,
2026-07-20,2026-08-28,front,holidays,open only
"""


def test_days_zones_and_reasons_are_read():
    found = closed.parse(GOOD, zone_ids=["front", "back"])
    term, match = found.closed
    assert (term.first, term.last, term.reason, term.zones) == (
        dt.date(2026, 10, 26), dt.date(2026, 10, 30), "half-term", frozenset(),
    )  # fmt: skip
    assert match.zones == {"front", "back"}
    assert found.open_only == {"front": (Window(dt.date(2026, 7, 20), dt.date(2026, 8, 28)),)}


@pytest.mark.parametrize(
    ("data", "place", "problem"),
    [
        (b"from,zones\n2026-10-26,a\n", "", "no column to"),
        (b"from,to,why\n", "the header", "'why' is not known"),
        (b"from,to\n26/10/2026,2026-10-30\n", "line 2, from", "is not a day"),
        (b"from,to\n2026-10-26,20261030\n", "line 2, to", "is not a day"),
        (b"from,to\n2026-10-26,2026-02-30\n", "line 2, to", "is not a day"),
        (b"from,to\n2026-10-30,2026-10-26\n", "line 2", "ends before it begins"),
        (b"from,to,zones\n2026-10-26,2026-10-30,frnt\n", "line 2, zones", "'frnt' is not known"),
        (b"from,to,kind\n2026-10-26,2026-10-30,opn\n", "line 2, kind", "'opn' is not known"),
        (b'from,to\n"2026-10-26,2026-10-30\n', "line 2", "quote"),
    ],
)
def test_a_slip_is_named_with_its_line(data, place, problem):
    with pytest.raises(InputRefused) as caught:
        closed.parse(data, zone_ids=["front"])
    assert problem in str(caught.value)
    assert caught.value.file == "closed.csv"
    assert place in (caught.value.place or "")


def test_no_file_and_an_empty_one_close_nothing(tmp_path):
    assert closed.read(Folder(tmp_path)) == closed.OpenDays((), {})
    (tmp_path / "closed.csv").write_bytes(b"\n")
    assert closed.read(Folder(tmp_path)) == closed.OpenDays((), {})
    (tmp_path / "closed.csv").write_bytes(GOOD)
    assert len(closed.read(Folder(tmp_path)).closed) == 2


@given(st.integers(0, len(GOOD) - 1), st.binary(max_size=3))
def test_a_damaged_file_is_read_or_refused(place, junk):
    data = GOOD[:place] + junk + GOOD[place + 1 :]
    try:
        found = closed.parse(data)
    except InputRefused as error:
        found, said = None, error.file
    assert said == "closed.csv" if found is None else all(e.first <= e.last for e in found.closed)


def test_the_zones_of_the_site_are_known_to_the_file_too(tmp_path):
    (tmp_path / "closed.csv").write_bytes(b"from,to,zones\n2026-10-26,2026-10-26,frnt\n")
    with pytest.raises(InputRefused, match="Did you mean 'front'"):
        closed.read(Folder(tmp_path), zone_ids=["front"])
    assert closed.read(Folder(tmp_path)).closed[0].zones == {"frnt"}


def test_columns_that_are_left_out_have_their_usual_meaning():
    (day,) = closed.parse(b"from,to\n2026-10-26,2026-10-26\n").closed
    assert (day.reason, day.zones) == ("closed", frozenset())
    (day,) = closed.parse(b"from,to,reason\n2026-10-26,2026-10-26,%s\n" % (b"r" * 201)).closed
    assert day.reason == "r" * 200
    found = closed.parse(b"from,to,kind\n2026-10-26,2026-10-26, open only \n")
    assert found == closed.OpenDays((), {"": (Window(day.first, day.last),)})
