"""A verdict in words: it worked only where that is known."""

import pytest

from lawnmap.processing.surveying.compare_words import sentence
from tests.processing.surveying.test_compare import frames, row, thatch, zone


def said(before, after, measure="moss cover"):
    return sentence(row([zone(), *before], [zone(), *after], measure))


def test_it_worked():
    # Wilson intervals of 60 and 30 of 100: 50.2 to 69.1 and 21.9 to 39.6 (Newcombe 1998, by hand).
    assert said(frames(60), frames(30)) == (
        "moss cover: it worked. Before 60 % (50 to 69 %, 100 points), after 30 % (22 to 40 %, 100 "
        "points): 30 % of the ground less (16 to 42 % less)."
    )
    # t(0.975, 2) = 4.303: 20 ± 4.303 · 2 / √3 = 4.97, and 10 ± 2.48.
    told = said(thatch(18, 20, 22), thatch(9, 10, 11), "thatch")
    assert told.startswith(
        "thatch: it worked. Before 20 mm (15 to 25 mm, 3 cores), after 10 mm (7.5 to 12.5 mm, "
        "3 cores): 10 mm less ("
    )


def test_it_got_worse():
    told = said(frames(30), frames(60))
    assert told.startswith("moss cover: it got worse. Before 30 %")
    assert told.endswith(": 30 % of the ground more (16 to 42 % more).")


@pytest.mark.parametrize(
    ("before", "after", "measure", "words"),
    [
        (frames(40), frames(30), "moss cover",
         "cannot be told from these counts: count 400 more points (4 frames)."),
        (frames(40), frames(27), "moss cover", "count 100 more points (1 frame)."),
        (frames(40), frames(38), "moss cover",
         "and more points now would not tell either: count more before the next work."),
        (frames(40), frames(40, x=8), "moss cover", "these counts: just the same both times."),
        (thatch(19, 20, 20, 21), thatch(16, 20, x=8), "thatch",
         "cannot be told from these cores: take 10 more cores."),
        (thatch(8, 20, 32), thatch(18, 19), "thatch", "take more before the next work."),
    ],
)  # fmt: skip
def test_it_cannot_be_told(before, after, measure, words):
    told = said(before, after, measure)
    assert words in told
    assert "it worked" not in told


def test_cores_without_any_spread():
    same = said(thatch(20, 20), thatch(20, 20, x=8), "thatch")
    assert same.endswith(": no change.")
    assert said(thatch(20, 20), thatch(15, 15, x=8), "thatch").endswith(": 5 mm less.")


def test_the_way_of_a_change_within_the_noise():
    assert said(frames(40), frames(30)).endswith(
        ": 10 % of the ground less (from 23 % less to 3 % more)."
    )


def test_what_was_not_counted_has_no_interval():
    rated = sentence(row([zone(thatch_rating=4)], [zone(thatch_rating=1)], "thatch"))
    assert rated == (
        "thatch: cannot be told, rated by eye both times. Before over 25 mm, after 6 to 13 mm."
    )
    figure = sentence(row([zone(moss_cover_pct=60)], [zone(), *frames(30)]))
    assert "Before 60 %, after 30 % (22 to 40 %, 100 points)." in figure
    single = sentence(row([zone(), *thatch(20)], [zone(), *thatch(9, 10)], "thatch"))
    assert "Before 20 mm (1 core), after 9.5 mm (" in single
