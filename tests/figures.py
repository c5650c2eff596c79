"""The figures of docs/reliability.md: a test tells what it reached, the run prints the table.

``figure(9, "60 kills: 0 damaged")`` in a test keeps a text for row 9. Where each test is one case
of many, ``@pytest.mark.figure(17, "raw requests answered as they must be")`` has them counted.
What is wanted stands in the test's own assertions; a test that failed tells nothing but that.
"""

from __future__ import annotations

import csv
import json
import os
from collections import Counter
from pathlib import Path

import pytest

ROWS = Path(__file__).parents[1] / "docs" / "reliability.csv"
KEY, CASE = "figure ", "case "


@pytest.fixture
def figure(record_property):
    """Return the function that keeps a figure: the number of its row and what was reached."""

    def tell(number: int, reached: str) -> None:
        record_property(f"{KEY}{number}", reached)

    return tell


def pytest_configure(config):
    """Name the marker."""
    config.addinivalue_line("markers", "figure(row, text): one case of a row of reliability.md")


def pytest_collection_modifyitems(items):
    """Write on each case which row it counts for: a report carries properties, not markers."""
    for item in items:
        for mark in item.iter_markers("figure"):
            row, text = mark.args
            item.user_properties.append((f"{CASE}{row}", text))


def rows() -> dict[int, dict[str, str]]:
    """Return the rows of the table by number."""
    with ROWS.open(encoding="utf-8", newline="") as stream:
        return {int(row["number"]): row for row in csv.DictReader(stream)}


def gathered(passed, failed) -> dict[int, list[str]]:
    """Return what tests reached, by row, each text once and in a fixed order."""
    found: dict[int, set[str]] = {}
    for name, value in (each for report in passed for each in report.user_properties):
        if name.startswith(KEY):
            found.setdefault(int(name.removeprefix(KEY)), set()).add(value)
    good, bad = (cases(reports) for reports in (passed, failed))
    for name, text in good | bad:
        told = f"{good[name, text]} of {good[name, text] + bad[name, text]} {text}"
        found.setdefault(int(name.removeprefix(CASE)), set()).add(told)
    return {number: sorted(found[number]) for number in sorted(found)}


def cases(reports) -> Counter[tuple[str, str]]:
    """Count the cases of each row and text."""
    return Counter(
        (name, text)
        for report in reports
        for name, text in report.user_properties
        if name.startswith(CASE)
    )


def pytest_terminal_summary(terminalreporter):
    """Print the rows that this run measured; keep them in the file that LAWNMAP_FIGURES names."""
    stats = terminalreporter.stats
    failed = [each for each in stats.get("failed", []) if isinstance(each, pytest.TestReport)]
    found = gathered(stats.get("passed", []), failed)
    if not found:
        return
    titles = rows()
    terminalreporter.section("figures of docs/reliability.md reached in this run")
    for number, texts in found.items():
        terminalreporter.write_line(f"{number:>2}  {titles[number]['figure']}")
        for text in texts:
            terminalreporter.write_line(f"      {text}")
    kept = os.environ.get("LAWNMAP_FIGURES")
    if kept:
        keep(Path(kept), found)


def keep(path: Path, found: dict[int, list[str]]) -> None:
    """Write the figures of a run to a file; rows of another run that are in it stay."""
    path.parent.mkdir(parents=True, exist_ok=True)
    old = json.loads(path.read_text(encoding="utf-8")) if path.exists() else {}
    merged = {**old, **{str(number): texts for number, texts in found.items()}}
    path.write_text(json.dumps(merged, indent=1, ensure_ascii=False), encoding="utf-8")
