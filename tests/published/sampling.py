"""Intervals and how many samples."""

from __future__ import annotations

from lawnmap.agronomy import change, sampling
from tests.published.check import Check

NEWCOMBE = "R. G. Newcombe, Statistics in Medicine 17 (1998), 857-872, score intervals"
DIFFERENCE = "R. G. Newcombe, Statistics in Medicine 17 (1998), 873-890, method 10"
T_TABLE = "NIST/SEMATECH e-Handbook of Statistical Methods, critical values of Student's t"
CAMPBELL = "Campbell Scientific, CS620 manual, appendix B"
TEXTBOOK = "Sample size for a share, (z/2d)², and for a mean, (z s/d)²: textbook"


def low(hits: int, points: int) -> float:
    """Return lower end of the 95 % interval of a counted share."""
    return sampling.wilson(hits, points)[0]


def high(hits: int, points: int) -> float:
    """Return upper end of the 95 % interval of a counted share."""
    return sampling.wilson(hits, points)[1]


def lower_change(before: tuple[int, int], after: tuple[int, int]) -> float:
    """Return lower end of the 95 % interval of the change of a share."""
    return change.share_change(before, after).low


def upper_change(before: tuple[int, int], after: tuple[int, int]) -> float:
    """Return upper end of the 95 % interval of the change of a share."""
    return change.share_change(before, after).high


def student(freedom: int) -> float:
    """Return Student's t of a two-sided 95 % interval."""
    return sampling.student_quantile(0.95, freedom)


def adequate(spread: float, full_width: float, freedom: int) -> float:
    """Return samples for a mean, before rounding up, with t of a survey at hand."""
    return float((student(freedom) * spread / (full_width / 2)) ** 2)


def points_for(margin: float) -> float:
    """Return points for a share within a margin at worst."""
    return float(sampling.samples_for_share(margin))


def z_only(spread: float, margin: float) -> float:
    """Return samples for a mean by the normal distribution alone, before rounding up."""
    return float((sampling.normal_quantile(0.95) * spread / margin) ** 2)


COUNTS = [
    (81, 263, "0.2553", "0.3662"), (15, 148, "0.0624", "0.1605"),
    (0, 20, "0.0000", "0.1611"), (1, 29, "0.0061", "0.1718"),
]  # fmt: skip
T = {1: "12.706", 2: "4.303", 3: "3.182", 4: "2.776", 5: "2.571", 9: "2.262", 10: "2.228",
     11: "2.201", 19: "2.093", 30: "2.042", 60: "2.000"}  # fmt: skip
CHECKS = [
    *(Check(NEWCOMBE, low, (hits, points), printed) for hits, points, printed, _ in COUNTS),
    *(Check(NEWCOMBE, high, (hits, points), printed) for hits, points, _, printed in COUNTS),
    Check(DIFFERENCE, lower_change, ((48, 80), (56, 70)), "0.0524"),
    Check(DIFFERENCE, upper_change, ((48, 80), (56, 70)), "0.3339"),
    *(Check(T_TABLE, student, (freedom,), printed) for freedom, printed in T.items()),
    Check(CAMPBELL, adequate, (1.74, 5.0, 11), "2.35"),
    Check(TEXTBOOK, points_for, (0.05,), "385", "points", by_hand=True),
    Check(TEXTBOOK, z_only, (3, 2), "8.6", "samples", by_hand=True),
]
