"""The targets of fuzzing, replayed without atheris: seeds and some mutants find nothing.

What a fault would look like is planted, so that a judge who sees nothing is seen himself.
"""

from __future__ import annotations

import json
import math
import random
import re
import subprocess
import sys
from pathlib import Path

import pytest

from lawnmap import plugins
from lawnmap.errors import InputRefused
from lawnmap.processing.entering import outlines
from lawnmap.readers import coordinates, gpx, kml_geometry
from tests.fuzz import __main__ as command
from tests.fuzz import findings, seeds, targets
from tests.fuzz.findings import Finding, frame_of, judged
from tests.readers.mutants import LONG, SEED, mutated

ROUNDS = 1_000 if LONG else 25  # mutants of each target, spread over its seeds
ROOT = Path(__file__).parents[2]
TIE = {"type": "Polygon", "coordinates": [[[0, 0], [2e-3, 3e-3], [2e-3, 0], [0, 3e-3], [0, 0]]]}


def feature(geometry):
    return json.dumps({"type": "Feature", "properties": {}, "geometry": geometry}).encode()


@pytest.fixture(scope="module")
def replayed():
    """Return what became of every seed and mutant, by target."""
    found = {}
    for name, act in targets.TARGETS.items():
        chance = random.Random(SEED)
        files = seeds.seeds(name)
        every = [*files, *(mutated(chance.choice(files), chance) for _ in range(ROUNDS))]
        found[name] = [_outcome(act, data) for data in every]
    return found


def _outcome(act, data):
    try:
        return judged(act, data)
    except Finding as finding:
        return f"{finding} in {data[:200]!r}"


@pytest.mark.parametrize("target", targets.TARGETS)
def test_seeds_and_mutants_find_nothing(target, replayed):
    assert set(replayed[target]) <= {"read", "refused"}
    assert "read" in replayed[target][: len(seeds.seeds(target))]
    assert "refused" in replayed[target]


def test_what_was_replayed_is_told(replayed, figure):
    every = [each for outcomes in replayed.values() for each in outcomes]
    wrong = [each for each in every if each not in {"read", "refused"}]
    mutants = ROUNDS * len(replayed)
    figure(
        7,
        f"replayed without atheris: {len(replayed)} targets, {len(every) - mutants} seeds and "
        f"{mutants:,} mutants, {len(wrong)} findings",
    )
    assert wrong == []


def test_every_reader_of_ours_is_a_target():
    ours = {
        name
        for name in plugins.available("readers")
        if not plugins.load("readers", name).CHILD
    }  # fmt: skip
    assert ours <= set(targets.TARGETS)
    assert targets.TARGETS.keys() == seeds.SEEDS.keys() == seeds.WORDS.keys()
    # A seed of a bug in what is no target here is replayed by the tests of its own.
    assert all(seeds.seeds(name) for name in targets.TARGETS)


@pytest.mark.parametrize("target", targets.TARGETS)
def test_words_are_as_the_fuzzer_takes_them(target):
    lines = seeds.dictionary(target).splitlines()
    assert len(lines) > 15
    for line in lines:
        word = re.fullmatch(r'"((?:[ !#-\[\]-~]|\\x[0-9A-F]{2})+)"', line)
        assert word, line
    assert lines == sorted(set(lines), key=lines.index)


def _raises(error):
    def act(*_, **__):
        raise error

    return act


PLANTED = {
    "an exception behind the outer net": (
        "kml",
        lambda patch: patch.setattr(kml_geometry, "_position", _raises(IndexError("beyond"))),
        r"could not be read \(IndexError\): beyond",
    ),
    "an exception that comes out": (
        "csv",
        lambda patch: patch.setattr("lawnmap.jobs.features.merge", _raises(KeyError("zone"))),
        "KeyError: 'zone'",
    ),
    "a warning of a library": (
        "gpx",
        lambda patch: patch.setattr(gpx, "number", _raises(RuntimeWarning("overflow"))),
        r"could not be read \(RuntimeWarning\): overflow",
    ),
    "slow": ("rate", lambda patch: patch.setattr(findings, "SLOW_S", -1.0), r"took 0\.\d s"),
    "large": ("number", lambda patch: patch.setattr(findings, "MOST_BYTES", -1), "took 0 MB"),
}


@pytest.mark.parametrize("fault", PLANTED)
def test_a_planted_fault_is_found_by_the_seeds(fault, monkeypatch):
    target, plant, told = PLANTED[fault]
    plant(monkeypatch)
    outcomes = {_outcome(targets.TARGETS[target], data) for data in seeds.seeds(target)}
    assert any(re.match(told, each) for each in outcomes), outcomes


def test_a_number_that_is_none_is_found(monkeypatch):
    monkeypatch.setattr(coordinates.Coordinates, "_position", lambda *_: [math.nan, 53.0])
    for target in ("geojson", "kml", "csv", "osm", "kmz"):
        with pytest.raises(Finding, match="nan was accepted"):
            judged(targets.TARGETS[target], seeds.seeds(target)[0])


def test_an_outline_that_is_not_sound_is_found(monkeypatch):
    assert judged(targets.TARGETS["geojson"], feature(TIE)) == "read"  # mended, and told
    monkeypatch.setattr(outlines, "_check_sound", lambda *_: None)
    with pytest.raises(Finding, match="AssertionError"):
        judged(targets.TARGETS["geojson"], feature(TIE))


def test_a_message_that_could_move_the_cursor_is_found():
    class Loud(InputRefused):
        def __str__(self):
            return "plan: \x1b[2J"

    with pytest.raises(Finding, match="not printable"):
        judged(_raises(Loud("is wrong")), b"")


def test_findings_are_told_apart_by_where_they_arose(monkeypatch):
    monkeypatch.setattr(kml_geometry, "_position", _raises(IndexError("beyond")))
    with pytest.raises(Finding) as told:
        judged(targets.TARGETS["kml"], seeds.seeds("kml")[0])
    assert re.fullmatch(r"IndexError at kml_geometry\.py:\d+", frame_of(told.value))


def test_one_file_is_replayed_by_the_command(tmp_path):
    path = tmp_path / "tie.geojson"
    path.write_bytes(feature(TIE))
    line = [sys.executable, "-m", "tests.fuzz", "geojson", "--replay", str(path)]
    done = subprocess.run(line, cwd=ROOT, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (0, "read\n")


def test_without_atheris_the_command_says_what_to_install(monkeypatch):
    monkeypatch.setattr(sys, "argv", ["fuzz", "geojson"])
    monkeypatch.setattr(command, "find_spec", lambda _: None)
    with pytest.raises(SystemExit, match="pip install atheris"):
        command.main()
