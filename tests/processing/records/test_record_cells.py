"""What is typed of a piece of work: units are converted exactly, and nothing is guessed."""

import re

import pytest

from lawnmap.errors import InputRefused
from lawnmap.processing.records.record_cells import KEYS, cells
from lawnmap.store.record import COLUMNS


@pytest.mark.parametrize(
    ("operation", "name", "text", "wanted"),
    [
        ("iron_soluble", "amount", "562.5 g", {"amount": "562.5", "unit": "g"}),
        ("iron_soluble", "amount", "0.5625kg", {"amount": "562.5", "unit": "g"}),
        # NIST SP 811: 1 lb = 453.592 37 g, 1 US fl oz = 29.573 53 ml, 1 ft2 = 0.092 903 04 m2
        ("feeding", "amount", "10 lb", {"amount": "4535.9237", "unit": "g"}),
        ("iron_liquid", "amount", "8 US fl oz", {"amount": "236.58824", "unit": "ml"}),
        ("iron_liquid", "amount", "2 l", {"amount": "2000", "unit": "ml"}),
        ("clearing", "amount", "3 m3", {"amount": "3000", "unit": "l"}),
        ("top_dressing", "amount", "400 l", {"amount": "0.4", "unit": "m³"}),
        ("iron_liquid", "dose", "25 l/ha", {"dose": "2.5", "dose_unit": "ml/m²"}),
        ("iron_soluble", "dose", "25 kg per ha", {"dose": "2.5", "dose_unit": "g/m²"}),
        ("mowing", "area", "1,000 ft2", {"area_m2": "92.90304"}),
        ("mowing", "area_m2", "180", {"area_m2": "180"}),
        ("iron_liquid", "water_l", "112.5", {"water_l": "112.5"}),
        ("iron_liquid", "water", "2 imperial gal", {"water_l": "9.09218"}),
        ("iron_liquid", "pressure", "30 psi", {"pressure_bar": "2.0684272"}),
        ("mowing", "air_temp", "57.2 F", {"air_temp_c": "14"}),
        ("mowing", "air_temp_c", "-3", {"air_temp_c": "-3"}),
        ("mowing", "start", "8:05", {"start_time": "08:05"}),
        ("mowing", "wind_from", "sw", {"wind_from": "SW"}),
        ("mowing", "wind_force", "02", {"wind_force": "2"}),
        ("mowing", "date", "2026-09-14", {"date": "2026-09-14"}),
        ("mowing", "note", "  two   words ", {"note": "two words"}),
        ("mowing", "note", "  ", {}),
    ],
)
def test_what_is_typed_is_kept_in_the_unit_of_its_column(operation, name, text, wanted):
    assert cells({name: text}, operation) == wanted


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("amount", "562.5", "names no unit"),
        ("amount", "562,5 g", "comma"),
        ("amount", "2 gal", "US or imperial"),
        ("amount", "5 bags", "is no amount"),
        ("amount", "0 g", "not above zero"),
        ("amount", "-1 g", "no amount|not a number"),
        ("amount", "nan g", "no amount|not a number"),
        ("dose", "3 g", "on what area"),
        ("area", "180", None),
        ("area", "180 g", "is no area"),
        ("area", "18 m", "is no area"),
        ("start", "8.30", "no time of day"),
        ("end", "24:00", "no time of day"),
        ("wind_force", "13", "no wind force"),
        ("wind_force", "2.5", "no wind force"),
        ("wind_from", "up", "no direction"),
        ("air_temp", "540", "no air temperature"),
        ("air_temp", "1.2.3", "not a number"),
        ("date", "14.9.2026", "is no day"),
        ("note", "a\x1b[31m", "cannot be printed"),
        ("note", "x" * 301, "longer than 300"),
        ("produkt", "x", "Did you mean product"),
        ("unit", "g", "nothing that the record has"),
        ("cancels", "work.1", "nothing that the record has"),
        ("record_id", "x", "nothing that the record has"),
    ],
)
def test_what_cannot_be_is_refused_with_its_name(name, text, told):
    if told is None:
        assert cells({name: text}, "mowing") == {"area_m2": "180"}
        return
    with pytest.raises(InputRefused) as caught:
        cells({name: text}, "iron_soluble")
    assert re.search(told, str(caught.value))


def test_one_column_under_two_names_is_refused():
    with pytest.raises(InputRefused, match="given twice"):
        cells({"area": "3 m2", "area_m2": "4"}, "mowing")


def test_every_key_has_a_column_and_an_example_that_is_taken():
    assert {key.column for key in KEYS.values()} <= set(COLUMNS)
    for name, key in KEYS.items():
        assert cells({name: key.example}, "iron_soluble"), name
