"""Markdown as the made pages have it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

MADE = "Made by `docs/make_pages.py` from {source}. Change that, not this page."


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a Markdown table."""
    cells = [[cell.replace("|", "\\|").replace("\n", " ") for cell in row] for row in rows]
    lines = [list(head), ["---"] * len(head), *cells]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines) + "\n"


def page(title: str, source: str, *parts: str) -> str:
    """Return a whole page."""
    return (
        "\n\n".join([f"# {title}", MADE.format(source=source), *(p.strip() for p in parts)]) + "\n"
    )
