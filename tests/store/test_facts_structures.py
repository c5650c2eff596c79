"""Nearly right files of lawnmap's own: of another shape, type or size behind a sound syntax.

Asked for: of 5,000 generated structures of each file the same as of mutants, and what is taken has
only finite numbers, zones of some area, and reads back equal. ``LAWNMAP_LONG=1`` does them all.
"""

from functools import partial

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.readers.mutants import LONG
from tests.store.facts_kinds import KINDS
from tests.store.facts_odd import edits, writer
from tests.store.facts_use import Told, bench

EXAMPLES = 5_000 if LONG else 15
PLANS = 1_000 if LONG else 10
WRITTEN = [name for name in KINDS if name != "reply in a mail"]
PLANNED = [name for name, kind in KINDS.items() if kind.planned]
CHECKS = {
    "suppress_health_check": [HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
    "deadline": None,
    "database": None,
}


def tried(name, held, *, planned=False):
    """Return a test of nearly right files that tells what became of them."""
    write = partial(writer(name, held.path), held.good)
    told = Told()

    def one(changes):
        data = write(changes)
        told.add(data, partial(held.take, data, planned=planned))
        assert told.wrong == []

    return one, told


@pytest.mark.parametrize("name", WRITTEN)
def test_structures_are_taken_or_refused(name, figure):
    with bench(name) as held:
        one, told = tried(name, held)
        settings(max_examples=EXAMPLES, **CHECKS)(given(edits)(one))()
    assert told.taken + told.refused >= EXAMPLES // 2
    assert told.slow == []
    figure(6, f"{name}: {told.taken + told.refused:,} structures, {len(told.wrong)} other "
              f"exceptions, each of {told.taken:,} taken read back equal")  # fmt: skip


def test_plans_of_odd_files_are_sound(figure):
    """A plan is made of whatever was taken, or refused in words."""
    with bench("site.geojson") as site:
        tries = {name: tried(name, site.of(name), planned=True) for name in PLANNED}

        def one(name, changes):
            tries[name][0](changes)

        settings(max_examples=PLANS, **CHECKS)(given(st.sampled_from(PLANNED), edits)(one))()
    taken = sum(told.taken for _, told in tries.values())
    refused = sum(told.refused for _, told in tries.values())
    assert taken + refused >= min(PLANS, 8)
    figure(6, f"plan: of {taken + refused:,} structures of {len(PLANNED)} files {taken:,} planned, "
              "each figure finite and none below zero")  # fmt: skip
