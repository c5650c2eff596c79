"""Plans of every kind that are nearly right: read whole and saved, or refused in words, in time.

Asked for: of 5,000 generated structures per reader, no exception that nobody foresaw and none over
5 s; what is read has finite numbers, an area wherever there is a zone, and comes back from a save
as it was. ``LAWNMAP_LONG=1`` makes all of them, others each time; else the same few are made.
"""

import os

import pytest

from tests.jobs.structured_reads import GUARDED, INSIDE, MADE, forked, worked
from tests.readers.mutants import LONG

COUNT = 5_000 if LONG else 60  # in this process
FORKED = 5_000 if LONG else 20  # with a fork for the guarded child
LIMIT_S = 15.0  # three times what is asked for: a busy machine shows in it
LEAST = 0.05  # of all, that have to be read, and to be refused


def assert_both(counts, count):
    """Assert that a fair share was read and a fair share refused, none of them slowly."""
    assert counts.made >= count
    assert counts.read + counts.refused == counts.made
    assert min(counts.read, counts.refused) >= LEAST * counts.made, counts
    assert counts.worst_s < LIMIT_S


def told(kind, counts):
    return (
        f"{kind}: {counts.made:,} structures, {counts.read:,} read with {counts.zones:,} zones and "
        f"saved, {counts.refused:,} refused, {counts.made - counts.read - counts.refused} otherwise"
    )


@pytest.mark.parametrize("kind", INSIDE)
def test_what_is_nearly_right_is_read_whole_or_refused(kind, figure):
    counts = worked(kind, COUNT)
    assert_both(counts, COUNT)
    figure(6, told(kind, counts))


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here")
@pytest.mark.parametrize("kind", GUARDED)
def test_what_libraries_write_is_read_whole_or_refused(kind, figure):
    for module in MADE[kind].inside:
        pytest.importorskip(module)
    counts = forked(kind, FORKED)
    assert_both(counts, FORKED)
    figure(6, told(kind, counts))
