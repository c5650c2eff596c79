"""The page of checks: every figure that a source printed and a test works out again."""

from __future__ import annotations

import sys
from pathlib import Path

from page_text import page, table

sys.path.append(str(Path(__file__).parents[1]))  # the checks are tests, which no wheel holds

from tests.published.check import SUBJECTS, Check, checks, subject


def checks_page() -> str:
    """Return the page of checks by subject."""
    found = list(checks())
    printed = sum(not check.by_hand for check in found)
    parts = []
    for name in SUBJECTS:
        title, rows = subject(name)
        head = ["what", "given", "printed", "here", "source"]
        parts += [f"## {title.rstrip('.')}", table(head, [_row(check) for check in rows])]
    return page(
        "Checks against print",
        "`tests/published/`",
        f"{len(found)} figures, worked out again by lawnmap at every run of the tests: {printed} "
        f"that a source itself prints, and {len(found) - printed} worked by hand from what it "
        "prints (*by hand*). Each must come out to half of its last printed digit; where more is "
        "allowed, the reason stands beside it. The same tests swap a US for an imperial gallon, "
        "one hydrate for another, iron for its salts, and ounces of weight for fluid ounces: then "
        "the checks must fail.",
        *parts,
    )


def _row(check: Check) -> list[str]:
    said = (check.ask.__doc__ or "").splitlines()[0].removeprefix("Return ").rstrip(".")
    decimals = len(check.printed.partition(".")[2])
    wider = "" if check.within is None else f"± {check.within:g}: "
    notes = [check.source, f"{wider}{check.note}" if check.note else ""]
    return [
        said,
        "; ".join(_given(each) for each in check.given),
        f"{check.printed} {check.unit}".strip() + (" *by hand*" if check.by_hand else ""),
        f"{check.found():,.{decimals + 1}f}",
        ". ".join(note for note in notes if note),
    ]


def _given(value: object) -> str:
    if isinstance(value, tuple):
        return " : ".join(_given(each) for each in value)
    return f"{value:,.12g}" if isinstance(value, float | int) else str(value)
