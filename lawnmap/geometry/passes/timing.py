"""How long pass lines take, counted from the lines themselves."""

from __future__ import annotations

SECONDS = 3600.0
KM_H = 1000 / SECONDS  # metres a second


def hours(
    length_m: float, turns: int, speed_km_h: float, turn_s: float, idle_m: float = 0.0
) -> float:
    """Return the hours of bouts and turns: length over speed, and so many seconds a turn.

    Parameters
    ----------
    length_m, idle_m : float
        Worked, and walked between bouts besides the turns [m].
    turns : int
    speed_km_h : float
        Speed at work, and between bouts [km/h].
    turn_s : float
        Time of a turn [s].

    Examples
    --------
    >>> round(hours(2950, 58, 2.88, 6) * 3600, 1)
    4035.5
    """
    return ((length_m + idle_m) / (speed_km_h * KM_H) + turns * turn_s) / SECONDS
