"""Words by code: the same words as written out, whatever kind of column they come in."""

import numpy as np
import pandas as pd
import pytest

from lawnmap.model import Specification
from lawnmap.processing.judgement import cases

FACTS = ["heavy", None, "", float("nan"), "light", "heavy"]
KINDS = [
    pd.Series(FACTS, dtype=object),
    pd.Series(pd.Categorical(FACTS)),
    pd.Series([each or None for each in FACTS], dtype="str"),
    pd.Series([each or None for each in FACTS], dtype="string"),
]


def test_the_first_that_holds_as_numpy_has_it():
    rng = np.random.default_rng(1)
    masks = [rng.random(50) < 0.3 for _ in range(5)]
    assert cases.first(masks, 50).tolist() == np.select(masks, range(5), 5).tolist()
    assert cases.first([np.array(True), *masks], 50).tolist() == [0] * 50


def test_words_are_kept_once_and_a_place_may_count_from_the_end():
    words = cases.said(np.array([0, 3, -1, 1]), ["do", "wait", "do", "leave"])
    assert cases.text(words).tolist() == ["do", "leave", "leave", "wait"]
    assert words.categories.tolist() == ["do", "wait", "leave"]
    many = [f"machine {number}" for number in range(300)]
    assert cases.text(cases.said(np.array([299, 128]), many)).tolist() == [many[299], many[128]]


@pytest.mark.parametrize("column", KINDS, ids=lambda each: str(each.dtype))
def test_any_kind_of_column_says_the_same(column):
    assert cases.is_word(column, "heavy").tolist() == [True, False, False, False, False, True]
    assert not cases.is_word(column, "no such word").any()
    assert cases.by_value(column, len, -1).tolist() == [5, -1, -1, -1, 5, 5]


def test_nothing_was_noted():
    for empty in (None, float("nan")):
        column = pd.Series([empty] * 3, dtype=object)
        assert cases.by_value(column, len, -1).tolist() == [-1, -1, -1]
        assert not cases.is_word(column, "heavy").any()


def test_only_zones_with_a_choice_of_their_own_are_asked():
    asked = []

    def read(choice):
        asked.append(choice)
        return len(choice or ())

    choices = Specification({"operations": ("raking",)}, by_zone={"b": {"operations": ()}, "c": {}})
    ids = pd.Index(["a", "b", "c", "d"])
    assert cases.by_choice(choices, "operations", ids, read).tolist() == [1, 0, 1, 1]
    assert asked == [("raking",), ()]
