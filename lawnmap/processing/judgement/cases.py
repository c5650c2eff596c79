"""Words for very many zones: a small number for the case of each, and the words looked up once.

A text a zone costs an object each; a million zones are told by codes of one byte. Where words are
wanted as text, :func:`text` writes them out.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.model import Specification

Codes = npt.NDArray[np.integer[Any]]
Mask = npt.NDArray[np.bool_]
Texts = npt.NDArray[np.object_]


def first(masks: Sequence[Mask | bool], length: int) -> Codes:
    """Return the place of the first mask that holds for each zone, and their number for none.

    Examples
    --------
    >>> first([np.array([False, True, False]), np.array([True, True, False])], 3).tolist()
    [1, 0, 2]
    """
    found = np.full(length, len(masks), dtype=np.int8)
    for place in range(len(masks) - 1, -1, -1):
        np.putmask(found, np.broadcast_to(masks[place], length), place)
    return found


def said(codes: Codes, words: Sequence[str]) -> pd.Categorical:
    """Return the words of each zone by their place; like words are one category.

    Examples
    --------
    >>> said(np.array([2, 0, 1]), ["leave", "rake", "leave"]).codes.tolist()
    [0, 0, 1]
    """
    categories, table = _categories(tuple(words))
    return pd.Categorical.from_codes(table[codes], dtype=categories, validate=False)


@lru_cache(maxsize=256)  # the same few lists for every ten thousand zones
def _categories(words: tuple[str, ...]) -> tuple[pd.CategoricalDtype, Codes]:
    """Return the categories of a list of words, and the category of each of them."""
    different = list(dict.fromkeys(words))
    table = np.array([different.index(word) for word in words], dtype=np.int16)
    return pd.CategoricalDtype(pd.Index(different, dtype=object)), table


def text(words: pd.Categorical) -> Texts:
    """Return the words of each zone written out."""
    return np.asarray(words, dtype=object)


def by_value(column: pd.Series, read: Callable[[str], Any], missing: Any) -> npt.NDArray[Any]:
    """Return what is read from the text of each zone, every different text once.

    Parameters
    ----------
    column : Series, shape (n,)
        Text or categories; what is empty or no text counts as missing.
    read : callable
        Makes a number or a truth of a text.
    missing : number or bool
        What stands for no text.
    """
    codes, texts = pd.factorize(column)
    found = [read(each) if isinstance(each, str) and each else missing for each in texts]
    return np.array([*found, missing])[codes]


def by_choice(
    specification: Specification, name: str, zone_ids: pd.Index, read: Callable[[Any], Any]
) -> npt.NDArray[Any]:
    """Return what is read from a choice for each zone; those with none of their own at once."""
    found = np.full(len(zone_ids), read(specification.choices.get(name)))
    own = [zone_id for zone_id, choices in specification.by_zone.items() if name in choices]
    if own:
        here = np.flatnonzero(zone_ids.isin(own))
        found[here] = [read(each) for each in specification.each(name, zone_ids[here])]
    return found


def offered(specification: Specification, operation: str, zone_ids: pd.Index) -> Mask:
    """Return which zones may have an operation."""
    return by_choice(
        specification, "operations", zone_ids, lambda chosen: operation in (chosen or ())
    )


def is_word(column: pd.Series, word: str) -> Mask:
    """Return where a column of text or categories holds a word; what is missing does not."""
    return np.asarray((column == word).to_numpy(dtype=bool, na_value=False))
