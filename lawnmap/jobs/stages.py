"""How far a job is: which stage of the work begins, and what share of the whole lies before it."""

from __future__ import annotations

from collections.abc import Callable

Heard = Callable[[float, str], None]  # the share that is done, 0 to 1, and what begins

# Seconds of each stage of a plan and its papers on sites of 12 to 300 zones, of a hundred.
WEIGHTS = {
    "areas": 2,
    "strips": 5,
    "judgement": 18,
    "days": 8,
    "costs and loads": 7,
    "pass lines": 45,
    "papers": 15,
}


def unheard(share: float, what: str) -> None:
    """Tell nobody."""
    del share, what


def reached(stage: str, within: float = 0.0) -> tuple[float, str]:
    """Return the share of the work that lies before a moment of a stage, and the stage's name.

    Parameters
    ----------
    stage : str
        A key of WEIGHTS.
    within : float
        The share of the stage itself that is done, 0 to 1.

    Examples
    --------
    >>> reached("areas")
    (0.0, 'areas')
    >>> reached("papers", 1.0)
    (1.0, 'papers')
    """
    before = list(WEIGHTS)[: list(WEIGHTS).index(stage)]
    done = sum(WEIGHTS[each] for each in before) + within * WEIGHTS[stage]
    return done / sum(WEIGHTS.values()), stage
