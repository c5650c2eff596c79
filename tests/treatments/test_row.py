"""Every treatment has the shape of one, and every row says what it rests on."""

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
