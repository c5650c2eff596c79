"""The table of reliability.md: whole, told by tests that are there, and counted as it should be."""

import re
from pathlib import Path
from types import SimpleNamespace

from tests import figures

ROOT = Path(__file__).parents[2]


def test_the_table_has_every_row_with_a_command():
    rows = figures.rows()
    assert list(rows) == list(range(1, 31))
    for row in rows.values():
        assert row["command"], row["number"]
        for path in re.findall(r"(?:tests|docs|\.ci)/[\w./-]*", row["command"]):
            assert (ROOT / path).exists(), path
        assert row["standing"] in {"reached", "falls short", "not run"}
        assert row["note"] or row["standing"] == "reached"


def test_a_figure_that_is_reached_has_a_day():
    for row in figures.rows().values():
        assert re.fullmatch(r"20\d\d-\d\d-\d\d", row["date"]) or row["standing"] == "not run"
        assert row["reached"] or row["standing"] == "not run"


def report(*properties):
    return SimpleNamespace(user_properties=list(properties))


def test_figures_of_passed_tests_are_kept_and_cases_counted():
    passed = [
        report(("figure 9", "60 kills")), report(("figure 9", "60 kills"), ("other", "x")),
        report(("figure 2", "b")), report(("figure 2", "a")),
        *[report(("case 17", "requests"))] * 3,
    ]  # fmt: skip
    failed = [report(("figure 3", "never"), ("case 17", "requests"))]
    assert figures.gathered(passed, failed) == {
        2: ["a", "b"],
        9: ["60 kills"],
        17: ["3 of 4 requests"],
    }


def test_figures_of_two_runs_are_kept_together(tmp_path):
    kept = tmp_path / "deep" / "figures.json"
    figures.keep(kept, {2: ["a"], 3: ["b"]})
    figures.keep(kept, {3: ["ü"]})
    assert kept.read_text(encoding="utf-8") == '{\n "2": [\n  "a"\n ],\n "3": [\n  "ü"\n ]\n}'
