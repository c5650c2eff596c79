"""Every figure that a source printed comes out of lawnmap, to the last printed digit."""

import pytest

from tests.published.check import SUBJECTS, Check, checks, subject

ALL = list(checks())
LEAST = 60  # figures that a source itself prints


@pytest.mark.parametrize("check", ALL, ids=str)
def test_what_was_printed_comes_out(check):
    assert check.off() <= check.allowed, f"{check.source} prints {check.printed}: {check.found()}"


def test_there_are_enough_and_each_names_its_source():
    assert sum(not check.by_hand for check in ALL) >= LEAST
    assert [str(check) for check in ALL if not (check.source and check.ask.__doc__)] == []


def test_whatever_may_be_further_off_says_why():
    assert [str(check) for check in ALL if check.within is not None and not check.note] == []


def test_no_figure_is_checked_twice():
    seen = [(check.source, check.ask.__name__, repr(check.given)) for check in ALL]
    assert len(set(seen)) == len(seen)


@pytest.mark.parametrize("name", SUBJECTS)
def test_every_subject_has_checks(name):
    title, found = subject(name)
    assert title
    assert found


@pytest.mark.parametrize(
    ("printed", "allowed"), [("20", 0.5), ("1.06", 0.005), ("0.40", 0.005), ("102,935.7", 0.05)]
)
def test_a_figure_may_be_off_by_half_its_last_digit(printed, allowed):
    assert Check("", float, (1,), printed).allowed == pytest.approx(allowed)
