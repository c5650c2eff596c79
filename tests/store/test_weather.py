"""The weather file: read strictly, and every slip named with its line."""

import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.store import weather as store
from lawnmap.store.folder import Folder
from tests.readers.mutants import outcomes

WHOLE = (
    "date,mean_c,min_c,max_c,soil_c,rain_mm,frost\n"
    "2026-04-02,7.5,3,12,8.1,0.4,no\n"
    "2026-04-01,4,-1,9,7.9,0,yes\n"
    "2026-04-05,,2,11,,,\n"
)


def parse(text):
    return store.parse(text.encode())


def test_a_whole_file():
    found = parse(WHOLE)
    assert (found.first, found.last, len(found)) == (dt.date(2026, 4, 1), dt.date(2026, 4, 5), 5)
    assert found.mean_c[[0, 1, 4]].tolist() == [4, 7.5, 6.5]
    assert found.frost[:2].tolist() == [1, 0]
    assert np.isnan(found.soil_c[4])
    assert found.gaps == ((dt.date(2026, 4, 3), dt.date(2026, 4, 4)),)


def test_the_mean_of_low_and_high_when_there_is_none():
    assert parse("date,min_c,max_c\n2026-04-01,2,8\n").mean_c.tolist() == [5]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("date,mean_c\n", "holds no day"),
        ("date,min_c\n2026-04-01,2\n", "has no temperature of the air"),
        ("day,mean_c\n2026-04-01,2\n", "'day' is not known"),
        ("mean_c\n2\n", "has no column date"),
        ("date,mean_c\n2026-04-01,60\n", "line 2, mean_c: 60 is outside -50 to 45 °C"),
        ("date,mean_c,soil_c\n2026-04-01,6,52\n", "52 is outside -25 to 45 °C"),
        ("date,mean_c,rain_mm\n2026-04-01,6,-1\n", "-1 is outside 0 to 1000 mm"),
        ("date,mean_c\n2026-04-01,nan\n", "'nan' is not a number"),
        ('date,mean_c\n2026-04-01,"5,5"\n', "has a decimal comma"),
        ("date,mean_c\n1/4/2026,5\n", "'1/4/2026' is not a day"),
        ("date,mean_c\n2026-02-29,5\n", "'2026-02-29' is not a day"),
        ("date,mean_c\n0026-02-01,5\n", "is not a day from 1900 to 2100"),
        ("date,mean_c\n20260401,5\n", "'20260401' is not a day"),
        ("date,mean_c\n2026-04-01,5\n2026-04-02,6\n2026-04-01,5\n",
         "line 4: 2026-04-01 stands in line 2 already"),
        ("date,min_c,max_c\n2026-04-01,9,5\n", "min_c is above max_c"),
        ("date,mean_c,max_c\n2026-04-01,9,5\n", "mean_c is above max_c"),
        ("date,mean_c,frost\n2026-04-01,9,maybe\n", "'maybe' is neither yes nor no"),
        ("date,mean_c\n2026-04-01,9,5\n", "has 3 cells under 2"),
        ("", "has no column date"),
    ],
)  # fmt: skip
def test_a_slip_is_named(text, told):
    with pytest.raises(InputRefused) as refused:
        parse(text)
    assert str(refused.value).startswith("weather.csv: ")
    assert told in str(refused.value)


def test_a_file_too_long_is_refused():
    days = (dt.date(1950, 1, 1) + dt.timedelta(each) for each in range(20_001))
    rows = [f"{day},1" for day in days]
    with pytest.raises(InputRefused, match="more than 20,000 days"):
        parse("date,mean_c\n" + "\n".join(rows))
    assert len(parse("date,mean_c\n" + "\n".join(rows[:-1]))) == 20_000


def test_wide_and_long_is_taken():
    start = dt.date(1990, 1, 1)
    rows = [f"{start + dt.timedelta(each)},1,0,2,3,0,no" for each in range(20_000)]
    assert len(parse(WHOLE.split("\n", maxsplit=1)[0] + "\n" + "\n".join(rows))) == 20_000


def test_a_site_without_the_file(tmp_path):
    folder = Folder(tmp_path)
    assert store.read(folder) is None
    folder.weather.write_text(WHOLE, encoding="utf-8")
    assert len(store.read(folder)) == 5
    folder.weather.unlink()
    folder.weather.mkdir()
    with pytest.raises(InputRefused, match="is a folder"):
        store.read(folder)


@given(
    st.dictionaries(
        st.dates(dt.date(1900, 1, 1), dt.date(2100, 12, 31)), st.floats(-50, 45), min_size=1
    ),
    st.randoms(),
)
def test_any_days_come_back_in_order(days, chance):
    rows = [f"{day},{mean!r}" for day, mean in days.items()]
    chance.shuffle(rows)
    found = parse("date,mean_c\n" + "\n".join(rows) + "\n")
    assert (found.first, found.last) == (min(days), max(days))
    assert {
        found.first + dt.timedelta(place): value
        for place, value in enumerate(found.mean_c.tolist())
        if not np.isnan(value)
    } == days


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(data):
    try:
        found = store.parse(data)
    except InputRefused as error:
        told = str(error)
    else:
        told = f"weather.csv: {len(found)} days from {found.first}"
    assert told.startswith("weather.csv: ")


def test_mutants_are_read_or_refused():
    counts = outcomes(store.parse, WHOLE.encode())
    assert counts["refused"] > counts["read"] > 0
