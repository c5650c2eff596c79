"""Units as people write them: exact, and never of no country."""

import pytest

from lawnmap.agronomy.field_units import KINDS, measured
from lawnmap.errors import InputRefused


@pytest.mark.parametrize(
    ("text", "kind", "wanted"),
    [
        # International yard and pound (1959): exact.
        ("6 ft", "length", 1.8288), ("20 in", "length", 0.508), ("1 1/2 yd", "length", 1.3716),
        ("5 mph", "speed", 8.04672), ("1/2 lb", "mass", 226.796185), ("2 oz", "mass", 56.69904625),
        # Imperial gallon 4.54609 l, US gallon 231 cubic inches = 3.785411784 l: exact.
        ("1 imperial gal", "volume", 4.54609), ("1 US gal", "volume", 3.785411784),
        ("1 imp. gallon", "volume", 4.54609), ("1 UK gallon", "volume", 4.54609),
        ("128 US fl oz", "volume", 3.785411784), ("160 imperial fl oz", "volume", 4.54609),
        ("8 US pints", "volume", 3.785411784), ("4 imperial quarts", "volume", 4.54609),
        ("750 ml", "volume", 0.75), (".5 litres", "volume", 0.5), ("2 minutes", "time", 120),
        # Agronomy.md, conversions used everywhere.
        ("1 lb/1000 ft2", "rate", 4.88243), ("1 oz/yd²", "rate", 33.9057),
        ("1 lb per acre", "rate", 0.112085), ("10 kg/ha", "rate", 1.0),
        ("1 US gal/1000 ft2", "water", 0.0407458), ("1 US gal/acre", "water", 0.000935396),
        ("400 l/ha", "water", 0.04), ("40 psi", "pressure", 2.7579),
    ],
)  # fmt: skip
def test_exact(text, kind, wanted):
    assert measured(text, kind) == pytest.approx(wanted, rel=2e-6 if kind != "pressure" else 1e-4)


@pytest.mark.parametrize(
    "text", ["2 gal", "2 gallons", "7 fl oz", "7 fluid ounces", "1 pint", "1 qt", "5 Gal."]
)
def test_a_measure_of_no_country_is_refused(text):
    with pytest.raises(InputRefused, match="US or imperial"):
        measured(text, "volume")


def test_nor_as_a_rate():
    with pytest.raises(InputRefused, match="US or imperial"):
        measured("20 gal/acre", "water")


def test_a_weight_is_no_volume():
    with pytest.raises(InputRefused, match="is a weight"):
        measured("7.5 oz", "volume")
    assert measured("7.5 oz", "mass") != measured("7.5 US fl oz", "volume") * 1000


@pytest.mark.parametrize(
    ("text", "said"),
    [("2", "names no unit"), ("2,5 l", "comma"), ("1,000 ml", "comma"), ("l", "not a number"),
     ("", "not a number"), ("-2 l", "not a number"), ("0 l", "not above zero"),
     ("1/0 l", "not above zero"), ("2 ft", "not a volume"), ("2 l l", "not a volume"),
     ("nan l", "not a number"), ("1" + "0" * 400 + " l", "no measurement")],
)  # fmt: skip
def test_what_is_refused(text, said):
    with pytest.raises(InputRefused, match=said):
        measured(text, "volume")


def test_every_unit_reads_back():
    for kind, (held, units) in KINDS.items():
        assert units[held] == 1
        for unit, factor in units.items():
            assert measured(f"3 {unit}", kind) == pytest.approx(3 * factor), unit
