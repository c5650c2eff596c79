"""Words as codes, however the column is held, and each empty cell as the word ""."""

import numpy as np
import pandas as pd
import pytest

from lawnmap.coded import coded

WORDS = ["rake", None, "petrol", "rake", None]


@pytest.mark.parametrize(
    "held",
    [
        np.array(WORDS, dtype=object),
        pd.Series(WORDS, dtype=object),
        pd.Series(WORDS, dtype="string"),
        pd.Series(WORDS, dtype="category"),
        pd.Categorical(WORDS, categories=["petrol", "rake", "tractor"]),
    ],
)
def test_each_cell_is_its_word_again(held):
    codes, words = coded(held)
    assert [words[code] for code in codes] == ["rake", "", "petrol", "rake", ""]
    assert len(set(words)) == len(words)


def test_one_word_for_all_rows_and_no_rows_at_all():
    codes, words = coded("rake")
    assert (codes.shape, words) == ((), ["rake"])
    codes, words = coded(pd.Series([], dtype=object))
    assert (len(codes), words) == (0, [""])
