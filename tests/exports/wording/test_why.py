"""Reasons, against the reference tables they come from."""

import pytest

from lawnmap.exports.wording.why import Whys, over, reason
from lawnmap.reference import tables


def test_a_reason_is_the_rules_sentence_with_standing_and_sources():
    sentence, standing, cited = reason("depth_by_turf", {"depth_low_mm": 2.0, "depth_high_mm": 5.0})
    assert sentence.startswith("Start at 2 mm and come down to 5 mm at most")
    assert standing == tables.rule("depth_by_turf").standing == "published"
    assert any(tables.source("kbeg").where in each for each in cited)


def test_a_step_brings_the_sources_of_its_own_values():
    row = {"sources": "overseed_share nobody-knows", "standing": "from memory"}
    _, standing, cited = reason("clear_after", row)
    assert standing == "from memory"
    title = tables.source(tables.value("overseed_share").source).title
    assert any(title in each for each in cited)


@pytest.mark.parametrize("rule_id", sorted(tables.rules()))
def test_every_rule_makes_a_sentence_without_an_open_blank(rule_id):
    sentence, standing, _ = reason(rule_id, {})
    assert "{" not in sentence
    assert standing in tables.STANDINGS


def test_a_plugins_rule_is_named():
    sentence, standing, cited = reason("of_a_plugin", {})
    assert "of_a_plugin" in sentence
    assert (standing, cited) == ("not stated", ())


def test_equal_reasons_and_sources_are_kept_once():
    whys = Whys()
    row = {"depth_low_mm": 2.0, "depth_high_mm": 5.0}
    places = [whys.place(each, row) for each in ("depth_by_turf", "iron_before", "depth_by_turf")]
    assert places == [0, 1, 0]
    assert whys.place("", row) is None
    assert len(whys.listed()) == 2
    assert len(set(whys.sources())) == len(whys.sources())
    for each in whys.listed():
        assert all(place < len(whys.sources()) for place in each["sources"])


def test_a_steps_empty_cells_do_not_hide_the_zones():
    assert over({"passes": 2.0, "dose": None}, {"passes": float("nan"), "dose": 3.0}) == {
        "passes": 2.0,
        "dose": 3.0,
    }
