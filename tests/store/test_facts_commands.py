"""Every command on a garden with one file or folder of it damaged: one clear error, or a warning.

``LAWNMAP_LONG=1`` runs each command on each damage to each file; else each file meets every command
and every damage, but not every pair of them.
"""

import contextlib
import itertools

import pytest

from lawnmap.errors import LONGEST_MESSAGE
from tests.readers.mutants import LONG
from tests.store.facts_damage import (
    COMMANDS,
    FILE_DAMAGES,
    FILES,
    FOLDER_DAMAGES,
    FOLDERS,
    PLANS,
    UNREADABLE,
    damaged_state,
    told,
    unreadable,
)
from tests.store.facts_use import copied

EACH = len(COMMANDS) if LONG else 2  # commands on one damage to one file
# What each file may end a command with, beside 0; 2 is for a command nobody can understand.
KEPT = (
    "site.geojson", "record.csv", "survey", "calibration.csv", "heights.csv", "surface.json",
    "plan.json", "files.json",
)  # fmt: skip
ENDS = {name: {3, 4} for name in KEPT}  # 3 for what leads elsewhere or cannot be opened
TYPED = {3}
LEFT_OUT = {"sun cache", "sidecar", "picture", "reply", "inputs.json", "backup"}
CASES = [
    *itertools.product(FILES, [*FILE_DAMAGES, UNREADABLE]),
    *itertools.product(FOLDERS, [*FOLDER_DAMAGES, UNREADABLE]),
]


def harm(garden, name, damage, patch):
    """Do the damage; return what has to be held while commands run."""
    path = {**FILES, **FOLDERS}[name](garden)
    if damage == UNREADABLE:
        return unreadable(path, patch)
    (FILE_DAMAGES if name in FILES else FOLDER_DAMAGES)[damage](path)
    return contextlib.nullcontext()


def assert_told(done, allowed, what):
    """Assert that a command ended in words, with a code that belongs to the damage."""
    errors = [line for line in done.err.splitlines() if line.startswith("lawnmap: ")]
    assert done.code in allowed | {0}, (what, done.err)
    assert len(errors) == (1 if done.code else 0), (what, done.err)
    assert "Traceback" not in done.err + done.out
    assert "a fault in lawnmap" not in done.err
    for line in errors:
        assert len(line) <= LONGEST_MESSAGE + len("lawnmap: ")
        assert line.isprintable()
        assert line.count(": ") > 1, f"no file is named: {line}"


def allowed_for(name):
    if name in LEFT_OUT:
        return set()
    return {3, 4, 5} if name in FOLDERS else ENDS.get(name, TYPED)


@pytest.mark.parametrize("name", [*FILES, *FOLDERS])
def test_commands_tell_damage_and_lose_nothing(name, tmp_path, monkeypatch, figure):
    runs, ends, changed = 0, [], 0
    turn = itertools.cycle(COMMANDS)
    for damage in [damage for each, damage in CASES if each == name]:
        garden = copied(tmp_path / damage)
        held, before = harm(garden, name, damage, monkeypatch), damaged_state(garden)
        with held:
            for command in itertools.islice(turn, EACH):
                done = told(garden, COMMANDS[command], tmp_path)
                assert_told(done, allowed_for(name), (name, damage, command))
                runs, ends = runs + 1, [*ends, done.code]
        after = damaged_state(garden)
        changed += sum(after.get(path) != data for path, data in before.items())
        assert after == before
    assert runs == EACH * len({damage for each, damage in CASES if each == name})
    figure(15, f"commands with {name} damaged: {runs} runs, {sum(map(bool, ends))} told and "
               f"refused, {ends.count(1)} faults, {changed} files changed")  # fmt: skip


@pytest.mark.skipif(not LONG, reason="plans of every damage take minutes")
@pytest.mark.parametrize(("name", "damage"), CASES)
def test_plans_and_papers_tell_damage(name, damage, tmp_path, monkeypatch):
    garden = copied(tmp_path / "depot")
    with harm(garden, name, damage, monkeypatch):
        for command, words in PLANS.items():
            done = told(garden, words, tmp_path)
            assert_told(done, {3, 4, 5}, (name, damage, command))
