"""The printed papers: pages of their PDFs."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from picturing.sample import Sample, assets, sources, words
from picturing.studio import Studio, sheet


class Leaf(NamedTuple):
    """One picture: the paper, its page, and how much of it from the top."""

    of: str
    page: str | int = 1  # its number, or words on it
    part: float = 1.0


LEAVES = {
    "sheet": Leaf("sheet"),
    "sheet_job": Leaf("sheet", 2),
    "sheet_day": Leaf("sheet", "Tuesday 15 September 2026 visit"),
    "loading": Leaf("loading", "Wednesday 21 October 2026 visit"),
    "shopping": Leaf("shopping"),
    "summary": Leaf("summary"),
    "quote": Leaf("quote"),
    "notice": Leaf("notice"),
}
NAMES = tuple(LEAVES)
LAID_OUT = tuple(f"exports/pdf/{each}.py" for each in ("looks", "plan", "sheets", "table"))


def shows(sample: Sample) -> dict[str, list[str]]:
    """Return what the pictures rest on: the words of each paper, and how a PDF is laid out."""
    laid_out = sources(*LAID_OUT)
    return {
        name: [
            words(sample.page(leaf.of)),
            *assets("paper.css", f"papers/{leaf.of}.css", f"papers/{leaf.of}.html"),
            *laid_out,
        ]
        for name, leaf in LEAVES.items()
    }


def take(_: Studio, sample: Sample, folder: Path) -> Iterator[tuple[str, bytes]]:
    """Draw every page."""
    made: dict[str, bytes] = {}
    for name, leaf in LEAVES.items():
        pdf = made.setdefault(leaf.of, b"") or sample.pdf(leaf.of)
        made[leaf.of] = pdf
        (folder / f"{leaf.of}.pdf").write_bytes(pdf)
        yield name, sheet(pdf, leaf.page, part=leaf.part)
