"""What moss cover calls for: how much of a zone is treated, how often, and what is left bare.

The dose on one square metre comes from the label and never from the moss. Moss decides whether,
where and how often, so more moss never lowers the iron of a season.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

EXTENTS = ("none", "spot", "whole")


def bare_after(
    moss_low_pct: ArrayLike,
    moss_high_pct: ArrayLike,
    bare_pct: ArrayLike,
    *,
    share_low: float,
    share_high: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the least and most bare ground after the blades [%].

    Parameters
    ----------
    moss_low_pct, moss_high_pct : array_like
        Moss cover [%] that the assessment allows.
    bare_pct : array_like
        Bare ground before [%]; NaN counts as none seen.
    share_low, share_high : float
        Share of the moss that comes out, 0 to 1.

    Examples
    --------
    >>> low, high = bare_after(60, 60, 5, share_low=0.75, share_high=0.75)
    >>> float(low), float(high)
    (50.0, 50.0)
    """
    before = np.nan_to_num(np.asarray(bare_pct, dtype=np.float64))
    low = before + share_low * np.asarray(moss_low_pct, dtype=np.float64)
    high = before + share_high * np.asarray(moss_high_pct, dtype=np.float64)
    return np.minimum(low, 100.0), np.minimum(high, 100.0)


def extent(cover_pct: ArrayLike, *, spot_from: float, whole_from: float) -> NDArray[np.intp]:
    """Return how much of the zone an application covers, as its place in EXTENTS.

    Parameters
    ----------
    cover_pct : array_like
        Moss cover [%]; for a rating give the lower edge of its class. NaN gives none.
    spot_from, whole_from : float
        Cover [%] from which the patches, and from which the whole zone is treated.
    """
    cover = np.nan_to_num(np.asarray(cover_pct, dtype=np.float64))
    return np.asarray(np.searchsorted([spot_from, whole_from], cover, side="right"))


def treated_area(
    area_m2: ArrayLike, cover_high_pct: ArrayLike, extents: ArrayLike
) -> NDArray[np.float64]:
    """Return the ground to treat [m²]: nothing, the patches at their largest, or all of it."""
    area = np.asarray(area_m2, dtype=np.float64)
    patches = (
        area * np.clip(np.nan_to_num(np.asarray(cover_high_pct, dtype=np.float64)), 0, 100) / 100
    )
    which = np.asarray(extents)
    return np.select([which == "whole", which == "spot"], [area, patches], 0.0)


def doses(
    wanted: ArrayLike,
    *,
    most_a_year: int | None,
    done_this_year: ArrayLike = 0,
    deep_mat: ArrayLike = False,
) -> NDArray[np.float64]:
    """Return the number of applications that moss asks for and the label allows.

    Parameters
    ----------
    wanted : array_like
        Applications asked for by the moss class.
    most_a_year : int or None
        What the label allows in a year. None: the label does not say, so never more than one.
    done_this_year : array_like
        Applications in the record for this year, whoever made them.
    deep_mat : array_like of bool
        Iron only burns the top of a deep mat: none until it is raked out.
    """
    allowed = (1 if most_a_year is None else most_a_year) - np.asarray(
        done_this_year, dtype=np.float64
    )
    number = np.maximum(np.minimum(np.asarray(wanted, dtype=np.float64), allowed), 0.0)
    return np.where(np.asarray(deep_mat, dtype=bool), 0.0, number)
