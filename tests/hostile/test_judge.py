"""That what the set looks for would be seen: each fault, made on purpose, is found."""

import os
import socket
from dataclasses import replace

import pytest

from tests.hostile import bait as baits
from tests.hostile import runs
from tests.hostile.case import Case
from tests.hostile.runs import Outcome, Tally, judged, runner
from tests.hostile.texts import LAWN_M, at, ringed

CASE = Case("nan.geojson", {"nan.geojson": at(b"[NaN, 53]")})
GOOD = Case("mark.geojson", {"mark.geojson": ringed(LAWN_M)}, code=0)
WORDS = b"lawnmap: nan.geojson: %s. Nothing was changed. Correct it.\n"
pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here")


def right():
    """Return the outcome that the case should have."""
    place, words = runs.refusals()[CASE.name]
    problem = ": ".join(part for part in (place, words) if part)
    return Outcome(3, 0, 0.1, 0.1, 90, b"", WORDS % problem.encode())


def test_the_right_outcome_has_no_fault():
    assert judged(CASE, right()) == []


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"code": 0}, "exit 0"),
        ({"code": 1}, "exit 1"),
        ({"signal": 11}, "signal 11"),
        ({"cpu_s": 11.0}, "limit"),
        ({"wall_s": 70.0}, "limit"),
        ({"memory_mb": 2000.0}, "limit"),
        ({"err": b"Traceback (most recent call last):\n  x\nKeyError: 1\n"}, "traceback"),
        ({"err": WORDS % b"\x1b[31mis wrong"}, "control characters"),
        ({"err": WORDS % b"line 1\nline 2\nline 3\nis wrong"}, "form: 4 lines"),
        ({"err": WORDS % b"is wrong"}, "does not say|form"),
        ({"err": b"lawnmap: is wrong. Nothing was changed. Correct it.\n"}, "form"),
        (
            {"err": b"lawnmap: /in/nan.geojson: is wrong. Nothing was changed. Correct it.\n"},
            "form",
        ),
        ({"err": b"lawnmap: nan.geojson: is wrong. Correct it.\n"}, "form"),
        ({"err": right().err.replace(b" Correct it.", b"")}, "form"),
        ({"err": right().err + b"Note: more.\n"}, "form"),
    ],
)
def test_each_fault_of_an_outcome_is_told(changes, fault):
    found = judged(CASE, replace(right(), **changes))
    assert [each for each in found if any(word in each for word in fault.split("|"))]


def knock(bait, folder):
    socket.create_connection(("127.0.0.1", bait.port)).close()
    assert baits.heard(bait, seconds=5)


DEEDS = {
    "network call": knock,
    "code: was run": lambda bait, folder: bait.trap.mkdir(),
    "secret: stands in site": lambda bait, folder: (folder / "site" / "site.geojson").write_text(
        bait.secret.read_text()
    ),
    "changed: in/nan.geojson": lambda bait, folder: (folder / "in" / "nan.geojson").write_text(""),
    "changed: in/xlink.gfs": lambda bait, folder: (folder / "in" / "xlink.gfs").write_text(""),
    "changed: site/site.geojson": lambda bait, folder: (folder / "site" / "site.geojson").unlink(),
    "changed: new.txt": lambda bait, folder: (folder / "new.txt").write_text(""),
    "left behind: core": lambda bait, folder: (folder.parent / "temporary" / "core").write_text(""),
    "left behind: log": lambda bait, folder: (folder.parent / "home" / "log").write_text(""),
}


@pytest.mark.parametrize("fault", DEEDS)
def test_each_deed_of_a_run_is_seen(fault, tmp_path, monkeypatch):
    with runner(tmp_path) as made:

        def run(_words, cwd, _stdin=None):
            DEEDS[fault](made.bait, cwd)
            return right()

        monkeypatch.setattr(made, "run", run)
        tally = Tally()
        made.judged(CASE, tally)
    assert [each for each in tally.wrong[CASE.name] if each.startswith(fault)]
    assert tally.of(fault.split(":")[0]) > 0


def test_a_mark_in_what_is_said_is_seen(tmp_path, monkeypatch):
    with runner(tmp_path) as made:
        said = replace(right(), out=baits.MARK.encode())
        monkeypatch.setattr(made, "run", lambda *_: said)
        tally = Tally()
        made.judged(CASE, tally)
    assert "secret: stands in what it said" in tally.wrong[CASE.name]


def test_a_file_beside_the_input_of_a_good_run_is_seen(tmp_path, monkeypatch):
    with runner(tmp_path) as made:

        def run(_words, cwd, _stdin=None):
            (cwd / "in" / "beside.gfs").write_text("", encoding="utf-8")
            return replace(right(), code=0, err=b"")

        monkeypatch.setattr(made, "run", run)
        tally = Tally()
        made.judged(GOOD, tally)
    assert tally.wrong[GOOD.name] == ["beside the input: changed: beside.gfs"]


def test_a_fork_answers_as_a_new_process_does(tmp_path):
    answers = {}
    for long in (False, True):
        folder = tmp_path / str(long)
        folder.mkdir()
        with runner(folder, long=long) as made:
            answers[long] = []
            for case in (CASE, GOOD):
                outcome = made.run(case.typed, made.scratch(case))
                answers[long].append((outcome.code, outcome.signal, outcome.out, outcome.err))
                assert 0 < outcome.cpu_s < 10
                assert 10 < outcome.memory_mb < 1024
    assert answers[False] == answers[True]
    assert [code for code, *_ in answers[True]] == [3, 0]
