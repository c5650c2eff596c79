"""Why a point of a tape survey has no place, and what to measure, in words."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from lawnmap.geometry.ties import Apart

Pair = tuple[str, str]


class Why(NamedTuple):
    """Why a point has no place yet; the higher, the nearer it came."""

    rank: int
    problem: str
    remedy: str


def either_side(point: str, pair: Pair) -> Why:
    """Say that its two tapes meet on both sides, and nothing tells which."""
    return Why(
        4,
        f"may lie on either side of {pair[0]} to {pair[1]}",
        f"Say which with a row: left (or right), {pair[0]}, {pair[1]}, with {point} under points; "
        f"or measure {point} from a third fixed point.",
    )


def not_as_stated(point: str) -> Why:
    """Say that the stated side does not go with its tapes."""
    return Why(
        4,
        "does not lie on the side that the sheet says, going by its measures",
        "Check left and right, seen walking from the first point of the line to the second, and "
        f"the measures of {point}.",
    )


def in_line(pair: Pair) -> Why:
    """Say that its tapes pull in one line."""
    return Why(
        3,
        f"lies in line with {pair[0]} and {pair[1]}, so that its place across that line is not "
        "fixed",
        "Enter it as an offset of 0 from that line, or measure it from a third point well to the "
        "side.",
    )


def too_few(point: str, fixed: list[str], all_fixed: list[str]) -> Why:
    """Say that it has one tape to a fixed point, or none."""
    if fixed:
        return Why(
            1,
            f"is held by one measure only, from {fixed[0]}",
            f"Measure {point} from a second fixed point as well, such as "
            f"{_some(each for each in all_fixed if each != fixed[0])}.",
        )
    return Why(
        0,
        f"hangs on no fixed point ({_some(all_fixed)})",
        "Measure it from two of them, or make a sheet of its own for what is apart.",
    )


def _some(names: Iterable[str]) -> str:
    return ", ".join(list(names)[:3])


def do_not_meet(point: str, apart: list[tuple[float, Pair, Apart]]) -> Why:
    """Say that no two of its tapes meet, of those that come nearest."""
    if not apart:
        return Why(1, "is measured from one place only", "Measure it from a second place.")
    gap, pair, error = min(apart, key=lambda each: each[0])
    names = [f"{name} to {point}" for name in pair]
    if error.too_long is None:
        problem = f"{names[0]} and {names[1]} are too short to meet: {gap:.2f} m lacking"
    else:
        long, short = names[error.too_long], names[1 - error.too_long]
        problem = f"{long} is {gap:.2f} m too long to meet {short}"
    return Why(2, problem, f"Measure both again, and {pair[0]} to {pair[1]}.")
