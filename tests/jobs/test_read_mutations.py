"""Mutants of a good file of every kind at the door: read or refused in time, the site whole.

Asked for: of 10,000 seeded mutations of a good file per reader, no exception that nobody foresaw,
none over 5 s, and the site as it was. ``LAWNMAP_LONG=1`` does all of them; else the first few are
done, which are the same each time.
"""

import os

import pytest

from lawnmap.errors import InputRefused
from lawnmap.files import child
from lawnmap.files.admit import Source
from lawnmap.readers.net import netted
from tests.jobs import mutated_reads
from tests.jobs.mutated_reads import PLANS, forked_tally, tally
from tests.readers.mutants import LONG, unforeseen

ROUNDS = 10_000 if LONG else 100  # in this process
FORKED = 10_000 if LONG else 30  # with a fork for the guarded child
WHOLE = 30 if LONG else 2  # with the guarded child itself
# Three times the worst measured by the clock, which was with seven programs waiting for a core; it
# is 0.8 s where nothing else runs.
LIMIT_S = 13.5


def said(kind, told):
    """Say what became of the mutants of a kind of plan."""
    return (
        f"{kind}: {told.read + told.refused:,} mutants, {told.read:,} read, {len(told.wrong)} "
        f"other exceptions or changed sites, {len(told.slow)} over 5 s"
    )


INSIDE = [kind for kind, plan in PLANS.items() if not plan.inside]
GUARDED = [kind for kind, plan in PLANS.items() if plan.inside]


def assert_taken(told, count):
    """Assert that every mutant was read or refused in time; the door itself looks at the site."""
    assert told.wrong == []
    assert told.read + told.refused == count
    assert told.worst_s < LIMIT_S, told.slow


@pytest.mark.parametrize("kind", INSIDE)
def test_mutants_are_read_or_refused(kind, figure):
    told = tally(kind, range(ROUNDS))
    assert_taken(told, ROUNDS)
    figure(5, said(kind, told))


@pytest.fixture(params=GUARDED)
def guarded(request):
    """Return each kind that a guarded child reads, if what it needs is installed."""
    for module in PLANS[request.param].inside:
        pytest.importorskip(module)
    return request.param


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here")
def test_mutants_for_a_guarded_child_are_read_or_refused(guarded, figure):
    told = forked_tally(guarded, range(FORKED))
    assert_taken(told, FORKED)
    figure(5, said(guarded, told))


def test_a_few_mutants_with_the_guarded_child_itself(guarded):
    assert_taken(tally(guarded, range(WHOLE)), WHOLE)


# That what is looked for would be seen ---------------------------------------------------------


def test_an_exception_that_nobody_foresaw_is_told_from_a_refusal():
    @netted
    def broken(_):
        raise KeyError("a mistake of ours")

    with pytest.raises(InputRefused) as caught:
        broken(Source("plan.csv", b"", "csv"))
    assert "a mistake of ours" in unforeseen(caught.value)
    with pytest.raises(InputRefused) as caught:
        child.run("json:loads", arguments={"s": "{"})
    assert "JSONDecodeError" in unforeseen(caught.value)
    assert unforeseen(InputRefused("holds no features")) == ""


def test_a_refusal_that_changes_the_site_is_noticed(monkeypatch, tmp_path):
    door = mutated_reads.Door("csv", tmp_path)

    def read(*_, into, **__):
        (into / "site.geojson").write_bytes(b"{}")
        raise InputRefused("is no plan")

    monkeypatch.setattr(mutated_reads, "read", read)
    with pytest.raises(AssertionError, match="the site was changed by what was refused"):
        door.take(door.mutant(0))
