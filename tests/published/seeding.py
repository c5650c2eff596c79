"""Pure live seed."""

from __future__ import annotations

from lawnmap.agronomy import seeding
from tests.published.check import Check

TEXAS = "Texas Department of Transportation, Pure live seed"
ERNST = "Ernst Conservation Seeds, pure live seed"
USDA = "USDA Soil Conservation Service, Job Sheet ND-20 (1980), by USGS NPWRC, table 4"
MINNESOTA = "University of Minnesota Extension, SULIS, Purchasing seed"


def live(purity: float, germination: float) -> float:
    """Return share of a bag that is pure live seed."""
    return seeding.pure_live_seed(purity, germination)


def live_pct(purity: float, germination: float) -> float:
    """Return per cent of a bag that are pure live seed."""
    return 100 * seeding.pure_live_seed(purity, germination)


def bulk(purity: float, germination: float) -> float:
    """Return seed from the bag that holds one of pure live seed."""
    return float(seeding.bulk(1, seeding.pure_live_seed(purity, germination)))


def bag(*parts: tuple[float, float]) -> float:
    """Return per cent of a mixed bag that are pure live seed."""
    return sum(100 * seeding.pure_live_seed(*each) for each in parts)


STEPS = "the table goes in steps of 0.05"
CHECKS = [
    Check(TEXAS, live, (85, 75), "0.64"),
    Check(TEXAS, bulk, (85, 75), "1.56", within=0.01, note="digits cut off, not rounded"),
    Check(ERNST, live_pct, (96, 80), "76.8", "%"),
    Check(ERNST, bulk, (96, 80), "1.3"),
    Check(USDA, bulk, (90, 90), "1.25", within=0.025, note=STEPS),
    Check(USDA, bulk, (90, 85), "1.3", within=0.025, note=STEPS),
    Check(USDA, bulk, (50, 50), "4.0", within=0.025, note=STEPS),
    Check(MINNESOTA, live_pct, (31, 80), "24.8", "%"),
    Check(
        MINNESOTA, bag, ((44, 85), (31, 80), (9, 85), (12, 90)), "80.65", "%", by_hand=True,
    ),
]  # fmt: skip
