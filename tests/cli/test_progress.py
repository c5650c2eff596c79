"""How far a command is: lines for a program that asks, a bar for a person who waits."""

import re

import pytest

from lawnmap.cli import progress
from lawnmap.cli.talk import Talk
from lawnmap.jobs.stages import WEIGHTS, reached
from tests.cli.runner import SAMPLE, run

SITE = SAMPLE / "site"

LINE = re.compile(r"progress (\d+) (.+)")


@pytest.fixture
def lines(monkeypatch):
    monkeypatch.setenv(progress.ASKED, progress.LINES)


def terminal(monkeypatch):
    """Play a terminal; called in the test, since the capture changes streams before it."""
    monkeypatch.delenv(progress.ASKED, raising=False)
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)


def test_the_stages_make_up_the_whole_and_go_one_way():
    shares = [reached(stage, within)[0] for stage in WEIGHTS for within in (0.0, 0.5)]
    assert shares == sorted(shares)
    assert (shares[0], reached(list(WEIGHTS)[-1], 1.0)[0]) == (0.0, 1.0)


def test_a_program_reads_whole_percents_each_once(lines, capsys):
    talk = Talk(quiet=True)
    for share, what in [
        (0.0, "areas"),
        (0.501, "days"),
        (0.504, "days"),
        (0.504, "costs"),
        (7, "x"),
    ]:
        talk.heard(share, what)
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.splitlines() == [
        "progress 0 areas",
        "progress 50 days",
        "progress 50 costs",
        "progress 100 x",
    ]


def test_a_plan_tells_a_program_how_far_it_is_and_nothing_else_is_changed():
    asked, plain = (
        run("plan", SITE, "--today", "2026-08-01", **{progress.ASKED: each})
        for each in (progress.LINES, "")
    )
    found = [LINE.fullmatch(line) for line in asked.err.splitlines()]
    percents = [int(each[1]) for each in found if each]
    assert percents == sorted(percents)
    assert len(set(percents)) > 10
    assert {each[2] for each in found if each} == set(WEIGHTS) - {"papers"}
    assert asked.out == plain.out
    assert [x for x in asked.err.splitlines() if not LINE.fullmatch(x)] == plain.err.splitlines()


def test_a_person_who_waits_sees_a_bar_and_one_who_does_not_sees_none(monkeypatch, capsys):
    terminal(monkeypatch)
    talk = Talk()
    talk.heard(0.2, "strips")
    assert capsys.readouterr().err == ""
    monkeypatch.setattr(progress, "PATIENCE_S", -1.0)
    talk.heard(0.4, "days")
    talk.heard(0.3, "going back")
    talk.warn("a note")
    bar, note = capsys.readouterr().err.rsplit("\n", 2)[:2]
    assert "40%" in bar
    assert "30%" not in bar
    assert bar.endswith("\x1b[?25h")  # the cursor is shown again
    assert note == "Note: a note"


@pytest.mark.parametrize("quiet", [True, False])
def test_nothing_is_shown_where_nobody_looks(quiet, monkeypatch, capsys):
    monkeypatch.delenv(progress.ASKED, raising=False)
    monkeypatch.setattr(progress, "PATIENCE_S", -1.0)
    Talk(quiet=quiet).heard(0.4, "days")
    assert capsys.readouterr().err == ""


def test_a_quiet_command_has_no_bar(monkeypatch, capsys):
    terminal(monkeypatch)
    monkeypatch.setattr(progress, "PATIENCE_S", -1.0)
    Talk(quiet=True).heard(0.4, "days")
    assert capsys.readouterr().err == ""
