"""Nitrogen and feed."""

from __future__ import annotations

from lawnmap.agronomy import feeding
from tests.published.check import Check, ground

NEBRASKA = "University of Nebraska, Backyard Farmer; byf.unl.edu/LawnFertCalc"
LIFETIPS = "lawn.lifetips.com, How Much Fertilizer?"
COUNTRY = "countrygardener.ca, Fertilizer calculations"
PURDUE = "Purdue University, AY-22, as told at trumarkathletics.com"
CORNELL = (
    "Cornell Cooperative Extension of Suffolk County, Calculations for fertilizer applications"
)
GALORE = "plantsgalore.com, fertilizers, calculations"
RUTGERS = "Rutgers Snyder Farm, New Jersey's 0.9 lb of nitrogen in two passes"


def feed(nitrogen_lb: float, per_cent: float) -> float:
    """Return pounds of feed on 1000 square feet."""
    return float(feeding.feed_rate(nitrogen_lb, per_cent))


def lawn(nitrogen_lb: float, per_cent: float, area: str) -> float:
    """Return pounds of feed for a lawn, nitrogen in pounds on 1000 square feet."""
    return feed(nitrogen_lb, per_cent) * ground(area) / ground("1000 ft2")


def nitrogen(feed_lb: float, per_cent: float) -> float:
    """Return pounds of nitrogen in some feed."""
    return float(feeding.nitrogen(feed_lb, per_cent))


def each_pass(cap_lb: float, passes: int) -> float:
    """Return pounds of nitrogen on 1000 square feet in each pass under a cap."""
    return float(feeding.still_wanted(2, 0, cap_lb)) / passes


CHECKS = [
    Check(NEBRASKA, feed, (1.0, 28), "3.57", "lb/1000 ft²"),
    Check(
        NEBRASKA, lawn, (1.0, 28, "6000 ft2"), "21.42", "lb",
        within=0.01, note="six times the rounded 3.57",
    ),
    Check(LIFETIPS, feed, (1.0, 16), "6.25", "lb/1000 ft²"),
    Check(COUNTRY, feed, (1.0, 20), "5", "lb/1000 ft²"),
    Check(COUNTRY, lawn, (1.0, 20, "12000 ft2"), "60", "lb"),
    Check(PURDUE, feed, (0.75, 16), "4.69", "lb/1000 ft²"),
    Check(PURDUE, lawn, (0.75, 16, "8000 ft2"), "37", "lb"),
    Check(CORNELL, nitrogen, (30, 24), "7.2", "lb"),
    Check(CORNELL, nitrogen, (30, 8), "2.4", "lb"),
    Check(GALORE, feed, (1.0, 47), "2.1", "lb/1000 ft²"),
    Check(RUTGERS, each_pass, (0.9, 2), "0.45", "lb/1000 ft²"),
]  # fmt: skip
