"""Many at one site with different commands, and holders of locks that are killed."""

import os

import pytest

from tests.faults.child import told_by

LONG = os.environ.get("LAWNMAP_LONG") == "1"
EDITS = 50 if LONG else 4


@pytest.mark.parametrize("writers", [2, 8])
def test_different_commands_at_one_site(memory, writers, figure):
    told = told_by("race", memory / f"race-{writers}", writers, EDITS)
    assert told["codes"] == [0] * writers
    done = told["done"]
    assert sum(each["saved"] for each in done) == writers * EDITS
    by = {}
    for each in done:
        by[each["way"]] = by.get(each["way"], 0) + each["saved"]
    assert told["rows"] == by["_edit_record"]
    assert told["calibrations"] == by.get("_edit_calibration", 0)
    assert told["revisions"] == writers * EDITS - told["calibrations"]
    assert sum(note.split("-")[1] == f"{EDITS - 1}" for note in told["notes"] if note) == sum(
        each["way"] in {"_edit_zone", "_edit_plan", "_edit_mark"} for each in done
    )
    lost, kept = (sum(each[name] for each in done) for name in ("lost", "kept"))
    assert kept == lost
    assert {code for each in done for code in each["codes"]} <= {6}
    assert told["left"] == []
    figure(
        13,
        f"Different commands: {writers} writers x {EDITS} edits ({len(by)} commands): "
        f"{sum(each['saved'] for each in done)} of {writers * EDITS}; {lost} losers with exit "
        f"code 6, {kept} edits kept",
    )


def test_a_killed_holder_keeps_nobody_waiting(memory, figure):
    told = told_by("held", memory / "held")
    assert len(told) == 4
    assert max(told.values()) < 1.0
    slowest = max(told, key=told.get)
    figure(14, f"Locks of {', '.join(told)}: next writer waits {told[slowest]:.2f} s at most")
