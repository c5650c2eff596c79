"""Results come styled, with titles that say the unit, and the plugin goes as it came."""

import pytest

from tests.desktop.gis.conftest import TODAY

pytestmark = pytest.mark.gis
NEW = "TEMPORARY_OUTPUT"


@pytest.fixture(scope="module")
def results(gis, choices):
    """Return every layer that the steps make, by step and name of the result."""
    given = {
        "ZONES": "@zones", "FEATURES": ["@features"], "SITE": str(choices),
        "DEPOT": str(choices), "TODAY": TODAY,
    }  # fmt: skip
    made = {
        "measure": ["RESULT"],
        "plan": ["RESULT", "STEPS", "TOTALS"],
        "strips": ["KEPT_CLEAR", "TREATABLE"],
        "pass_lines": ["LINES"],
        "loads": ["AREAS", "REFILLS"],
    }
    return {
        (step, name): layer
        for step, names in made.items()
        for name, layer in gis.step(step, **given, **dict.fromkeys(names, NEW)).items()
        if name in names
    }


def test_layers_are_styled_and_tables_are_not(results):
    for (step, name), layer in results.items():
        table = name in {"STEPS", "TOTALS"}
        assert (layer["renderer"] is None) == table, (step, name)
        if not table:
            assert layer["renderer"] == "RuleRenderer", (step, name)
            assert all(layer["legend"]), (step, name)


def test_classes_of_moss_are_told_apart_by_colour_and_words(results):
    layer = results["plan", "RESULT"]
    assert len(layer["legend"]) == len(set(layer["legend"])) > 4
    assert "not known" in layer["legend"]
    assert layer["labels"]
    passes = results["pass_lines", "LINES"]
    # Each kind of work is switched on and off by itself, and parted into passes.
    assert {"scarifying", "first pass", "crossing pass"} <= set(passes["legend"])


def test_titles_say_the_unit_and_names_stay_plain(results):
    layer = results["measure", "RESULT"]
    titles = dict(zip(layer["fields"], layer["titles"], strict=True))
    assert titles["ground_area_m2"] == "ground area [m²]"
    assert titles["perimeter_m"] == "perimeter [m]"
    steps = results["plan", "STEPS"]
    assert dict(zip(steps["fields"], steps["titles"], strict=True))["hours"].startswith("hours")


def test_unloaded_it_leaves_nothing_and_comes_back(gis):
    there = gis.steps()["steps"]
    assert gis.stop() == {"steps": None}
    assert "not found" in gis.refused("measure", ZONES="@zones", RESULT=NEW)
    told = gis.start()
    assert told["started"]
    assert told["steps"].keys() == there.keys()
