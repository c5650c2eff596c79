"""A plan's own sentences in other units; what a person typed stays."""

import dataclasses

from lawnmap import schema
from lawnmap.exports.wording.worded import SENTENCES, worded
from tests.exports.papers import paper


def test_sentences_are_turned_and_names_and_figures_are_not():
    plan = paper().plan
    plan = dataclasses.replace(
        plan,
        cautions=("Keep 5 m from water.",),
        steps=plan.steps.assign(remark="cut at 20 mm", product="Sand 5 kg"),
    )
    us = worded(plan, "us")
    assert us.cautions == ("Keep 16.4 ft (5 m) from water.",)
    assert set(us.steps["remark"]) == {"cut at 0.787 in (20 mm)"}
    assert set(us.steps["product"]) == {"Sand 5 kg"}
    assert list(us.steps["area_m2"].dropna()) == list(plan.steps["area_m2"].dropna())
    assert list(us.zones["name"]) == list(plan.zones["name"])


def test_a_metric_plan_is_the_plan_itself():
    plan = paper().plan
    assert worded(plan, "metric") is plan


def test_every_column_that_is_turned_is_there():
    for table, columns in SENTENCES.items():
        assert set(columns) <= {each.name for each in schema.columns(table)}
