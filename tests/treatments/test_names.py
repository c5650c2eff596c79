"""A name is looked up once, however many rows it stands in."""

import numpy as np
import pandas as pd
import pytest

from lawnmap.treatments import names

TEXTS = np.array(["rake", "", "petrol", "rake"], dtype=object)


@pytest.mark.parametrize(
    "held",
    [
        TEXTS,
        pd.Categorical(TEXTS),
        pd.Series(TEXTS, dtype="str").array,
        pd.Series(TEXTS, dtype=object).array,
    ],
)
def test_asked_once_for_each_name_however_it_is_held(held):
    asked = []

    def letters(name):
        asked.append(name)
        return len(name)

    assert names.figures(held, letters).tolist() == [4, 0, 6, 4]
    assert sorted(asked) == ["", "petrol", "rake"]
    assert names.spelled(names.few(held), 4).tolist() == TEXTS.tolist()


def test_several_figures_of_a_name():
    low, high = names.figures(TEXTS, lambda each: (len(each), 2 * len(each)))
    assert (low.tolist(), high.tolist()) == ([4, 0, 6, 4], [8, 0, 12, 8])
    assert names.figures("rake", len) == 4
    assert names.figures(TEXTS[:0], len).shape == (0,)


def test_nothing_is_no_name():
    assert list(names.few(np.array(["a", None, np.nan], dtype=object))) == ["a", "", ""]
    assert list(names.few(pd.Categorical(["a", None]))) == ["a", ""]


def test_either_and_renamed_keep_names_apart():
    mask = np.array([True, False, True, False])
    assert list(names.either(mask, TEXTS, "none")) == ["rake", "none", "petrol", "none"]
    assert list(names.either(mask, "one", "other")) == ["one", "other", "one", "other"]
    kinds = names.renamed(TEXTS, lambda each: "tool" if each else "none")
    assert list(kinds) == ["tool", "none", "tool", "tool"]
    assert list(kinds.categories) == ["tool", "none"]


def test_stacked_names_are_one_list():
    found = names.stacked([names.few(TEXTS), names.pick(np.zeros(2, np.int8), ("petrol",))])
    assert list(found) == [*TEXTS, "petrol", "petrol"]
    assert list(found.categories) == ["rake", "", "petrol"]


def test_many_names_have_room():
    texts = np.array([f"n{each}" for each in range(70_000)], dtype=object)
    assert list(names.few(texts)[[0, 200, 40_000, 69_999]]) == ["n0", "n200", "n40000", "n69999"]
