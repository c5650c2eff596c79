"""What stands in a record: whatever was taken back counts nowhere, and nothing else is lost."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.processing.records.recorded import (
    counts_as,
    day,
    doses,
    doubts,
    handed_down,
    last,
    live,
    taken_back,
    work,
)
from lawnmap.store.record import COLUMNS, Record, parsed, with_rows


def row(record_id, operation="iron_liquid", date="2026-09-14", **cells):
    return {"record_id": record_id, "operation": operation, "date": date, "zone_id": "a", **cells}


def ids(rows):
    return [each["record_id"] for each in rows]


# What may happen to a record: work is recorded, or a row is taken back by a mere row or by a
# corrected one.
STEPS = st.lists(
    st.tuples(st.sampled_from(["work", "back", "correct"]), st.integers(0, 30)), max_size=25
)


@given(STEPS)
def test_live_is_what_a_simple_model_says_and_no_earlier_byte_changes(steps):
    record, model = Record(COLUMNS, ()), {}
    data = with_rows(record, [])
    for number, (what, target) in enumerate(steps):
        standing = list(model)
        new = row(f"r{number}") if what != "back" else row(f"r{number}", operation="")
        if what != "work":
            if not standing:
                continue
            gone = standing[target % len(standing)]
            del model[gone]
            new["cancels"] = gone
        if what != "back":
            model[new["record_id"]] = None
        longer = with_rows(record, [new])
        assert longer.startswith(data)
        data = longer
        record = parsed(
            data.decode(), name="record.csv", columns=COLUMNS, needed=(), most_cells=10_000
        )
        assert ids(live(record.rows)) == list(model)
        assert live(live(record.rows)) == live(record.rows)


def test_who_took_a_row_back_is_known():
    rows = [row("a"), row("b", operation="", cancels="a"), row("c", cancels="")]
    assert taken_back(rows) == {"a": rows[1]}


def test_rows_of_a_record_without_the_new_columns_stand():
    old = {"record_id": "a", "operation": "mowing", "date": "2026-05-01", "zone_id": "a"}
    assert live([old]) == [old]


def test_a_row_counts_as_what_the_waits_call_it():
    assert counts_as(row("a")) == "iron"
    assert counts_as(row("a", "overseeding")) == "seed"
    assert counts_as(row("a", "liming")) == "lime"
    assert counts_as(row("a", "strange")) == "strange"


def test_doses_are_those_of_a_zone_a_year_and_a_product():
    rows = [
        row("a", date="2026-12-31"), row("b", date="2027-01-01"), row("c", zone_id="b"),
        row("d", "mowing"), row("e", date="2026-03-01", product="Y"),
        row("f", date="2026-04-01", product="X"), row("g", operation="", cancels="f"),
        row("h", date="31.12.2026"),
    ]  # fmt: skip
    assert ids(doses(rows, "a", 2026)) == ["e", "a"]
    # What names no product may have been with any.
    assert ids(doses(rows, "a", 2026, product="Y")) == ["e", "a"]
    assert ids(doses(rows, "a", 2026, product="X")) == ["a"]
    assert ids(work(rows, "a", "iron")) == ["e", "a", "b"]


def test_the_last_day_of_a_kind_of_work():
    rows = [row("a", date="2026-09-20"), row("b", date="2026-09-14")]
    assert last(rows, "a", "iron") == dt.date(2026, 9, 20)
    assert last(rows, "a", "iron", by=dt.date(2026, 9, 19)) == dt.date(2026, 9, 14)
    assert last(rows, "a", "seed") is None
    assert last(rows, "b", "iron") is None
    gone = [*rows, row("c", operation="", cancels="a")]
    assert last(gone, "a", "iron") == dt.date(2026, 9, 14)


def test_a_zone_that_was_cut_or_merged_keeps_its_past():
    rows = [row("r1"), row("r2", zone_id="b"), row("r3", zone_id="gone"), row("r4", zone_id="")]
    now = handed_down(rows, {"a-1": "a", "a-2": "a", "whole": "b, x", "b": ""})
    assert [(each["record_id"], each["zone_id"]) for each in now] == [
        ("r1", "a-1"), ("r1", "a-2"), ("r2", "b"), ("r3", "gone"), ("r4", ""),
    ]  # fmt: skip
    assert last(now, "a-2", "iron") == dt.date(2026, 9, 14)


def test_what_counts_nowhere_is_told():
    rows = [row("ok"), row("r1", date="14/09/2026"), row("r2", zone_id="x"), row("r3", zone_id="")]
    assert doubts(rows, ["a"]) == [
        "record.csv, r1: '14/09/2026' is no day: it is counted nowhere.",
        "record.csv, r2: there is no zone 'x': it is counted nowhere.",
        "record.csv, r3: it has no zone: it is counted nowhere.",
    ]


@pytest.mark.parametrize("text", ["", "14/09/2026", "2026-02-30", "soon"])
def test_no_day_is_no_day(text):
    assert day({"date": text}) is None
    assert day({}) is None
