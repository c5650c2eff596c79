"""How many more samples: just enough to tell, and one fewer would not."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.agronomy.change import framed_change, mean_change, share_change
from lawnmap.agronomy.enough import MOST_TIMES, cores_more, frames_more


@pytest.mark.parametrize(("hits", "before"), [(30, 40), (27, 40), (20, 30), (62, 50)])
def test_one_frame_is_enough_only_from_the_number_told(hits, before):
    more = frames_more([(before, 100)], [(hits, 100)])
    enough = 1 + more
    # The change itself is held against R. G. Newcombe's printed examples in test_change.py.
    assert share_change((before, 100), (hits * enough, 100 * enough)).clear
    assert enough == 1 or not share_change((before, 100), (hits * more, 100 * more)).clear


def test_what_no_count_now_can_tell():
    # The earlier count alone leaves 40 of 100 anywhere from 31 to 50 %: no later count tells 38 %.
    assert frames_more([(40, 100)], [(38, 100)]) is None
    assert frames_more([(40, 100)], [(40, 100)]) is None
    assert cores_more([8, 20, 32], [18, 19]) is None
    assert cores_more([20, 20], [20, 20]) is None


def test_what_is_told_already_needs_no_more():
    assert frames_more([(60, 100)], [(30, 100)]) == 0
    assert cores_more([18, 20, 22], [9, 10, 11]) == 0


def test_frames_that_differ_ask_for_more_than_their_points_do():
    alike = frames_more([(20, 50)] * 6, [(14, 50), (15, 50), (14, 50)])
    unlike = frames_more([(20, 50)] * 6, [(7, 50), (21, 50), (15, 50)])
    assert unlike > alike
    assert frames_more([(20, 50)] * 6, [(2, 50), (26, 50), (15, 50)]) is None


def test_cores():
    before, after = [19, 20, 20, 21], [16, 20]
    more = cores_more(before, after)
    assert more == 10
    # Twelve cores with just the mean and variance of those two; and eleven.
    spread = 8**0.5

    def like(number):
        step = spread * ((number - 1) / number) ** 0.5 if number % 2 == 0 else None
        return [18 - step, 18 + step] * (number // 2)

    assert mean_change(before, like(12)).clear
    assert not mean_change(before, like(10)).clear


@given(
    st.lists(st.integers(0, 50), min_size=1, max_size=6),
    st.lists(st.integers(0, 50), min_size=1, max_size=6),
)
def test_never_more_than_anyone_would_count(before, after):
    first, second = ([(hits, 50) for hits in each] for each in (before, after))
    more = frames_more(first, second)
    assert more is None or 0 <= more <= (MOST_TIMES - 1) * len(after)
    if framed_change(first, second).clear:
        assert more == 0
