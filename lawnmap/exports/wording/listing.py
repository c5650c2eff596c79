"""Several things in one sentence: the last after an "and", and not too many of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from lawnmap.exports.wording.amounts import number
from lawnmap.pages.words import known, word

MOST_NAMES = 3
MOST_NUMBERED = 8  # names of zones, or runs of their numbers, that people look for on the ground


def listed(parts: Sequence[str]) -> str:
    """Return parts as they stand in a sentence.

    Examples
    --------
    >>> listed(["mowing"]), listed(["mowing", "scarifying", "seed"])
    ('mowing', 'mowing, scarifying and seed')
    >>> listed(["Lawn, west", "Terrace", "Lawn, east"])
    'Lawn, west; Terrace; and Lawn, east'
    """
    if len(parts) <= 1:
        return "".join(parts)
    return word("list.and", others=_leading(parts[:-1], parts), last=parts[-1])


def in_a_row(parts: Sequence[str]) -> str:
    """Return parts in a row: by commas, or by semicolons where one has a comma of its own.

    Examples
    --------
    >>> in_a_row(["Verge", "Orchard"]), in_a_row(["Lawn, west", "Orchard"])
    ('Verge, Orchard', 'Lawn, west; Orchard')
    """
    return f"{_mark(parts)} ".join(parts)


def _mark(parts: Sequence[str]) -> str:
    return ";" if any("," in each for each in parts) else ","


def _leading(parts: Sequence[str], all_parts: Sequence[str]) -> str:
    """Return parts in a row before an "and"."""
    mark = _mark(all_parts)
    return f"{mark} ".join(parts) + (mark if mark == ";" else "")


def named(names: Sequence[str], *, most: int = MOST_NAMES) -> str:
    """Return names as they stand in a sentence; of many the first, and how many more there are.

    Examples
    --------
    >>> named(["Terrace", "Orchard"]), named(["A", "B", "C", "D"], most=2)
    ('Terrace and Orchard', 'A, B and 2 more')
    """
    if len(names) <= most:
        return listed(names)
    first = names[:most]
    return word("list.more", names=_leading(first, first), count=number(len(names) - most))


def counted(names: Sequence[str], *, most: int = MOST_NAMES) -> str:
    """Return the names of a few zones, or how many there are."""
    return listed(names) if len(names) <= most else word("list.zones", count=number(len(names)))


def numbered(zones: Mapping[int, str], *, most: int = MOST_NUMBERED) -> str:
    """Return the names of zones by their numbers on the plan; of many the numbers alone.

    Examples
    --------
    >>> numbered({2: "Orchard", 5: "Verge"}), numbered({1: "A", 2: "B", 3: "C", 7: "D"}, most=2)
    ('Orchard and Verge', 'zones 1-3 and 7')
    """
    if len(zones) <= most:
        return listed(list(zones.values()))
    runs: list[list[int]] = []
    for place in sorted(zones):
        if runs and place == runs[-1][-1] + 1:
            runs[-1].append(place)
        else:
            runs.append([place])
    shown = [f"{run[0]}-{run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs[:most]]
    rest = sum(map(len, runs[most:]))
    if rest:
        return word(
            "list.zone_numbers",
            numbers=word("list.more", names=", ".join(shown), count=number(rest)),
        )
    return word("list.zone_numbers", numbers=listed(shown))


def doing(operation: str) -> str:
    """Return an operation as it stands within a sentence."""
    return known("doing", operation)


def opened(sentence: str) -> str:
    """Return a sentence with a capital at its beginning; the rest stays as it is."""
    return sentence[:1].upper() + sentence[1:]
