"""Write into the pages what their commands print.

``python docs/fill_how_to.py`` runs every page of docs/plans/ and docs/scenarios/, or those that are
named, and puts the output under each command. What fits already stays as it is. ``…`` placed by
hand is kept where the lines beside it are still printed; where it is lost, that is said.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from how_to import ANY, PAGES, SAMPLES, fits, line_fits, outputs, samples_of


def filled(text: str, samples: Path = SAMPLES) -> tuple[str, list[str]]:
    """Return a page with what its commands print, and the commands whose ``…`` was lost."""
    lines = text.splitlines()
    lost = []
    for each, real in reversed(outputs(text, samples)):  # from the end, so that places stay true
        new = list(each.shown) if fits(each.shown, real) else abridged(each.shown, real)
        lines[each.first : each.first + len(each.shown)] = new
        if _left_open(new) < _left_open(each.shown):
            lost.append(each.command)
    return "\n".join([*lines, ""]), lost[::-1]


def abridged(shown: Sequence[str], real: Sequence[str]) -> list[str]:
    """Return what was printed, with the ``…`` of what is shown wherever it has a place."""
    # Where each shown line is printed; before the first is -1, after the last the end.
    places: list[int | None] = [-1]
    below = 0
    for line in shown:
        at = next((i for i in range(below, len(real)) if line_fits(line, real[i])), None)
        places.append(None if line == ANY else at)
        below = below if places[-1] is None else places[-1] + 1
    places.append(len(real))
    new: list[str | None] = list(real)
    for line, before, at, after in zip(shown, places, places[1:], places[2:], strict=False):
        if line == ANY and before is not None and after is not None and after > before + 1:
            new[before + 1 : after] = [ANY, *[None] * (after - before - 2)]
        elif at is not None:
            new[at] = line
    return [line for line in new if line is not None]


def _left_open(lines: Sequence[str]) -> int:
    return sum(ANY in line for line in lines)


def run(arguments: Sequence[str]) -> int:
    """Fill the pages; return 1 when a ``…`` was lost and a person has to look, else 0."""
    any_lost = False
    for path in [Path(each) for each in arguments] or PAGES:
        old = path.read_text(encoding="utf-8")
        new, lost = filled(old, samples_of(path.resolve()))
        if new != old:
            path.write_text(new, encoding="utf-8", newline="\n")
            print(path.name)
        for command in lost:
            print(f"{path.name}: a {ANY} was lost under: {command}", file=sys.stderr)
        any_lost = any_lost or bool(lost)
    return int(any_lost)


if __name__ == "__main__":
    sys.exit(run(sys.argv[1:]))
