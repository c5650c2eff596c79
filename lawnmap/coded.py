"""Columns of words as codes: of many rows few words differ, so each is looked up once."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

Texts = npt.NDArray[np.object_]
Codes = npt.NDArray[Any]  # whole numbers, as narrow as they are held
Held = pd.api.extensions.ExtensionArray | Texts


def coded(column: pd.Series | Held | str) -> tuple[Codes, list[str]]:
    """Return words as their places among the different ones, and these, of which one is there.

    An empty cell is the word "". One word that stands for all rows has one code.
    """
    if isinstance(column, str):
        return np.array(0), [column]
    held = column.array if isinstance(column, pd.Series) else column
    if isinstance(held, pd.Categorical):
        codes, words = np.asarray(held.codes), list(held.categories)
    else:
        codes, found = pd.factorize(held)  # type: ignore[arg-type]  # any array will do
        words = list(found)
    if not words or (codes < 0).any():
        codes, words = np.where(codes < 0, len(words), codes), [*words, ""]
    return codes, words
