"""Foreign attributes become checked facts, or are refused with the column's name."""

import pytest

from lawnmap.errors import InputRefused
from lawnmap.processing.entering.attributes import adopt


def test_names_of_any_case_and_cut_by_dbase_are_known():
    given = {"Moss_Ratin": 3, "THATCH MM": "12.5", "outline_so": "TAPE", "sun_hours_": 4}
    facts, left_out = adopt(given, "zone")
    assert facts == {
        "moss_rating": 3,
        "thatch_mm": 12.5,
        "outline_source": "tape",
        "sun_hours_seen": 4,
    }
    assert left_out == []


def test_foreign_names_are_kept_as_they_are():
    facts, _ = adopt({"ID": 7, "TOTAL AREA": 120.5, "Bemerkung": "ü"}, "zone")
    assert facts == {"ID": 7, "TOTAL AREA": 120.5, "Bemerkung": "ü"}


def test_worked_out_columns_are_left_out():
    facts, left_out = adopt({"ground_area_m2": 5.0, "verdict": "renovate", "name": "x"}, "zone")
    assert facts == {"name": "x"}
    assert left_out == ["ground_area_m2", "verdict"]


@pytest.mark.parametrize(
    ("column", "value", "words"),
    [
        ("moss_rating", True, "not a number"),
        ("moss_rating", "true", "not a number"),
        ("moss_rating", 2.5, "whole number"),
        ("moss_rating", 6, "outside 0 to 5"),
        ("moss_rating", "99", "outside"),
        ("thatch_mm", "12,5", "decimal comma"),
        ("thatch_mm", float("nan"), "not a number"),
        ("thatch_mm", -1, "outside"),
        ("outline_source", "guessed", "guessed"),
        ("fed_last", "1/2/2026", "YYYY-MM-DD|1/2/2026"),
        ("name", True, "not text"),
    ],
)
def test_a_bad_value_names_its_column(column, value, words):
    with pytest.raises(InputRefused, match=words) as refused:
        adopt({column: value}, "zone")
    assert column in str(refused.value)


def test_numbers_become_text_where_text_is_meant():
    assert adopt({"client_number": 12.0, "zone_id": 7}, "zone")[0] == {
        "client_number": "12",
        "zone_id": "7",
    }


def test_two_columns_for_one_fact():
    with pytest.raises(InputRefused, match="both stand for moss_rating"):
        adopt({"moss_rating": 2, "MOSS_RATING": 3}, "zone")
