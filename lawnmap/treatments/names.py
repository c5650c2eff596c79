"""Names of machines, products and rules: many rows and few of them, so each is looked up once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.coded import Codes, Held, Texts, coded

Names = Held | str  # one name stands for all rows


def pick(codes: Codes, names: Sequence[str]) -> pd.Categorical:
    """Return the name of each row by its place among some names."""
    different = tuple(dict.fromkeys(names))
    if len(different) < len(names):
        codes = np.array([different.index(each) for each in names])[codes]
    small = np.asarray(codes).astype(np.min_scalar_type(-len(different) - 1), copy=False)
    return pd.Categorical.from_codes(small, dtype=_dtype(different))


def either(mask: npt.NDArray[np.bool_], some: Names, others: Names) -> pd.Categorical:
    """Return the name of each row from some where the mask holds, and from others elsewhere."""
    (one, known), (other, more) = coded(some), coded(others)
    return pick(np.where(mask, one, other.astype(np.intp) + len(known)), [*known, *more])


def few(texts: Held) -> pd.Categorical:
    """Return texts as names, where it is known that few of them differ; nothing is no name."""
    return pick(*coded(texts))


def renamed(names: Names, name: Callable[[str], str]) -> pd.Categorical:
    """Return what a function calls the name of each row; it is asked once for each name."""
    codes, known = coded(names)
    return pick(codes, [name(each) for each in known])


def stacked(columns: Sequence[pd.Categorical]) -> pd.Categorical:
    """Return names below each other."""
    parts = [coded(each) for each in columns]
    before = np.cumsum([0, *(len(known) for _, known in parts[:-1])])
    codes = [place + first for (place, _), first in zip(parts, before, strict=True)]
    return pick(np.concatenate(codes), [each for _, known in parts for each in known])


def figures(names: Names, figure: Callable[[str], Any]) -> Any:
    """Return what a function gives for the name of each row; it is asked once for each name.

    Parameters
    ----------
    names : names, shape (n,)
    figure : callable
        From a name to a number, or to several. It may be asked for no name.

    Returns
    -------
    array, shape (n,) or (numbers, n)
        Without its last axis where one name stands for all rows.
    """
    codes, known = coded(names)
    return np.take(np.array([figure(each) for each in known], dtype=np.float64).T, codes, axis=-1)


def spelled(names: Names, rows: int) -> Texts:
    """Return the name of each row as text."""
    return np.array(np.broadcast_to(np.asarray(names, dtype=object), rows))


@lru_cache(maxsize=256)
def _dtype(names: tuple[str, ...]) -> pd.CategoricalDtype:
    return pd.CategoricalDtype(pd.Index(names, dtype=object))
