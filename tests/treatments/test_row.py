"""Every treatment has the shape of one, and every row says what it rests on."""

import numpy as np
import pandas as pd
import pytest

from lawnmap import schema
from lawnmap.plugins import SHAPES, TREATMENT_KINDS
from lawnmap.processing.judgement.choose import choose
from lawnmap.reference import tables
from lawnmap.treatments import row

NAMES = [column.name for column in schema.columns("steps") if column.kind == "zone"]


def test_the_shape(lawn):
    for name, module in lawn.treatments().items():
        assert all(hasattr(module, part) for part in SHAPES["treatments"]), name
        assert module.KIND in TREATMENT_KINDS


def test_columns_and_grounds_of_every_row(lawn):
    choices = lawn.choices(lawn.iron, top_dressing={"wanted": True, "reason": "hollows"})
    zones = choose(lawn.zones({"compaction": "hard"}, {}), lawn.features(), choices)
    for name, module in lawn.treatments().items():
        rows = module.steps(zones, choices)
        assert list(rows.columns) == NAMES, name
        known = {*tables.values(), *tables.sources()}
        for found in rows.to_dict("records"):
            assert found["rule"] in tables.rules()
            assert set(found["sources"].split()) <= known
            assert found["standing"] in tables.STANDINGS
            assert "?" not in tables.sentence(
                found["rule"], {**zones.loc[found["zone_id"]], **found}
            )


def test_no_zone_gives_no_row(lawn):
    choices = lawn.choices(lawn.iron)
    zones = choose(lawn.zones(), lawn.features(), choices).iloc[:0]
    for name, module in lawn.treatments().items():
        assert module.steps(zones, choices).empty, name


def test_the_weakest_standing_counts():
    assert row.grounds("iron_label_rate")[1] == "label"
    assert row.grounds("iron_label_rate", ("tine_depth_mm",))[1] == "common practice, no source"
    with pytest.raises(tables.SourceMissing):
        row.grounds("no_such_rule")


def test_without_words_only_what_is_given_is_there():
    zones = pd.DataFrame(index=pd.RangeIndex(7, 10))

    def never():
        raise AssertionError

    rule = np.array(["aerate"] * 3, dtype=object)
    found = row.rows(
        zones, "aerating", words=False, rule=rule, passes=1.0, unit="l", beside=never, flag="",
        amount=pd.Series([1.0, 2.0, 3.0]), remark=["a", "b", None],
    )  # fmt: skip
    assert found["zone_id"].tolist() == [7, 8, 9]
    assert list(found) == ["zone_id", "operation", "status", "passes", "amount", "unit", "rule",
                           "flag", "remark"]  # fmt: skip
    assert found["amount"].tolist() == [1.0, 2.0, 3.0]
    assert set(found["status"]) == {schema.DO}
    assert found["remark"].tolist() == ["a", "b", None]


def test_a_sentence_given_as_a_callable_is_made_where_words_are_wanted():
    zones = pd.DataFrame(index=pd.Index(["a", "b"], dtype=object))
    found = row.rows(zones, "aerating", rule="aerate", remark=lambda: ["one", "two"],
                     flag=lambda: "mind")  # fmt: skip
    assert found["remark"].tolist() == ["one", "two"]
    assert found["flag"].tolist() == ["mind", "mind"]
    assert list(found) == NAMES


def test_parts_without_words_may_lack_columns():
    one, other = (pd.DataFrame(index=pd.RangeIndex(low, low + 2)) for low in (0, 2))
    parts = [
        row.rows(one, "feeding", words=False, rule="feed_after", machine="spreader", dose=2.0),
        row.none(words=False),
        row.rows(other, "feeding", words=False, rule="not_set_feed_strip", status=schema.NOT_SET),
    ]
    found = row.joined(parts, words=False)
    assert found["zone_id"].tolist() == [0, 1, 2, 3]
    assert found["machine"].tolist() == ["spreader", "spreader", "", ""]
    assert found["dose"].fillna(-1).tolist() == [2.0, 2.0, -1, -1]
    assert found["status"].tolist() == [schema.DO] * 2 + [schema.NOT_SET] * 2
