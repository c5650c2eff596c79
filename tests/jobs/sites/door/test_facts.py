"""Facts by columns are judged as the site door judges them one by one."""

import numpy as np
import pyarrow as pa
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.jobs.sites.door import facts
from lawnmap.jobs.sites.door.content import FEATURES, ZONES
from lawnmap.jobs.sites.door.plain import FIGURES, refuse_kind, rewritten
from lawnmap.jobs.sites.door.trouble import Trouble
from lawnmap.processing.entering.attributes import adopt

WORDS = [column.name for column in schema.facts("zones") if column.words]
ALL_WORDS = [word for column in schema.facts("zones") for word in column.words]


def holding(name):
    """Return what a table with such a column holds."""
    return ZONES if name in ZONES.columns else FEATURES


def judged(name, *values):
    """Return a column as it comes out, and which values were told."""
    trouble = Trouble(len(values))
    array = rewritten(name, pa.array(values))
    columns = {"feature": pa.array(["bed"] * len(values)), name: array}
    found = facts.checked(columns, len(values), trouble, holding(name))[name]
    return found.tolist(), trouble


def test_a_table_without_facts_has_all_the_columns():
    found = facts.checked({}, 3, Trouble(3))
    for column in schema.facts("zones"):
        if column.name != "zone_id":
            assert found[column.name].dtype == column.dtype
            assert found[column.name].isna().all()
    assert found["region"].tolist() == ["", "", ""]


def test_numbers_out_of_range_and_classes_in_between():
    found, trouble = judged("moss_rating", 0.0, 5.0, 5.5, -1.0, 2.5, np.inf, None, np.nan)
    assert trouble.bad.tolist() == [False, False, True, True, True, True, False, False]
    assert np.isnan(found[6])
    assert np.isnan(found[7])
    skipped = trouble.skipped(np.arange(8), np.full(8, "S"), np.full(8, "Z"))
    assert skipped[0].reason == "moss_rating is 5.5, outside 0 to 5"
    assert skipped[0].column == "moss_rating"


def test_numbers_written_as_text():
    found, trouble = judged("thatch_mm", "12", " 3.5 ", "1,5", "deep", "", None, "1e400")
    assert found[:2] == [12, 3.5]
    assert trouble.bad.tolist() == [False, False, True, True, False, False, True]
    assert np.isnan(found[4])


def test_words_are_known_whatever_their_case():
    found, trouble = judged("wear", "Heavy", "light", " moderate", "extreme", None, "")
    assert found == ["heavy", "light", "moderate", None, None, None]
    assert trouble.bad.tolist() == [False, False, False, True, False, False]


def test_days_and_what_is_none():
    found, trouble = judged("fed_last", "2026-04-01", "2026-02-30", "1 April", None)
    assert found[0] == "2026-04-01"
    assert trouble.bad.tolist() == [False, True, True, False]


def test_huge_texts():
    _, trouble = judged("name", "a" * 201, "a" * 200)
    assert trouble.bad.tolist() == [True, False]
    _, trouble = judged("public_note", "a" * 10_000, "b" * 1_000_000)
    assert trouble.bad.tolist() == [False, True]


@settings(max_examples=50)
@given(name=st.sampled_from(WORDS), value=st.text(max_size=12) | st.sampled_from(ALL_WORDS))
def test_a_word_is_taken_where_the_site_door_takes_it(name, value):
    found, trouble = judged(name, value)
    try:
        wanted = adopt({name: value}, "zone")[0].get(name)
    except InputRefused:
        assert trouble.bad[0]
    else:
        assert found == [wanted]
        assert not trouble.bad[0]


@settings(max_examples=50)
@given(
    name=st.sampled_from(sorted(FIGURES)),
    value=st.floats(allow_nan=False) | st.integers(-1, 201).map(float),
)
def test_a_number_is_taken_where_the_site_door_takes_it(name, value):
    found, trouble = judged(name, value)
    try:
        wanted = adopt({name: value}, holding(name).one)[0].get(name)
    except InputRefused:
        assert trouble.bad[0]
    else:
        assert found == [wanted]
        assert not trouble.bad[0]


@pytest.mark.parametrize(
    ("name", "array"),
    [
        ("moss_rating", pa.array([True])),
        ("moss_rating", pa.array([[1.0]])),
        ("moss_rating", pa.array([b"3"])),
        ("moss_rating", pa.array([0], pa.timestamp("s"))),
        ("wear", pa.array([True])),
        ("zone_id", pa.array([{"a": 1}])),
    ],
)
def test_columns_that_cannot_be_what_they_are_called(name, array):
    with pytest.raises(InputRefused, match=f"the column {name} holds"):
        refuse_kind(name, array.type)


@pytest.mark.parametrize(
    ("name", "array", "wanted"),
    [
        ("moss_rating", pa.array([3], pa.int8()), [3.0]),
        ("thatch_mm", pa.array([0.1], pa.float32()), [0.1]),
        ("thatch_mm", pa.nulls(1), [None]),
        ("thatch_mm", pa.array(["3"]).dictionary_encode(), ["3"]),
        ("zone_id", pa.array([12.0, None]), ["12", None]),
        ("zone_id", pa.array([12.5, None]), ["12.5", None]),
        ("zone_id", pa.array([7], pa.uint16()), ["7"]),
        ("fed_last", pa.array([20_000], pa.date32()), ["2024-10-04"]),
        ("name", pa.array(["a"], pa.large_string()), ["a"]),
    ],
)
def test_every_kind_becomes_text_or_figures(name, array, wanted):
    refuse_kind(name, array.type)
    assert rewritten(name, array).to_pylist() == wanted
