"""Rates as printed, against published leaflets and exact unit definitions."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from lawnmap.agronomy.label_rate import parse
from lawnmap.agronomy.label_units import amount
from lawnmap.errors import InputRefused


@pytest.mark.parametrize(
    ("printed", "per_m2", "water"),
    [
        # Cornwall Cricket Groundsmen, 28 January 2019: metric and imperial line.
        ("50 g in 10 L over 16 m²", 3.125, 0.625),
        ("2 oz in 2 imperial gal over 20 yd²", 3.39, 0.544),
        # Crawley Horticultural Society.
        ("40 g in 10 L over 3.5 m²", 11.43, 2.857),
        # A gardening blog of 2010.
        ("35 g in 5 l over 8.5 sq. m.", 4.118, 0.588),
        # A US page on living: the low outlier.
        ("3 oz in 5 US gal per 1,000 ft²", 0.915, 0.2037),
        # P. Schnare, KFVS, 29 March 2003: 4 lb copperas.
        ("4 lb per 1000 sq ft", 19.53, None),
        # Ravensdown product data: 50 kg/ha, or 5 g/l at 1 l/m².
        ("50 kg/ha", 5.0, None),
        ("5 g/L at 1 L/m²", 5.0, 1.0),
        ("5 g in 1 litre at 1 litre per square metre", 5.0, 1.0),
        # Amenity Academy, knapsack calibration: 25 kg/ha is 2.5 g/m²; 1 l covers 25 m².
        ("25 kg/ha in 400 l/ha", 2.5, 0.04),
        ("25 kg in 400 l per hectare", 2.5, 0.04),
        # UK garden lime ceiling: 1 1/2 oz on the square yard is 50.9 g/m².
        ("1 1/2 oz/yd²", 50.9, None),
        ("1½ oz per sq yd", 50.9, None),
        # Overseeding, UK: 1/2 to 1 oz on the square yard is 16.95 to 33.9 g/m².
        ("1/2 oz/yd²", 16.95, None),
        ("1 oz a sq. yd.", 33.9057, None),
        # 1 lb on the acre is 1.12085 kg/ha.
        ("1 lb/acre", 0.112085, None),
        ("35g/m2", 35.0, None),
        ("Rate: 35 grams per square meter.", 35.0, None),
        ("140 g/m² = 4.13 oz/yd²", 140.0, None),
    ],
)
def test_printed_rates(printed, per_m2, water):
    rate = parse(printed)
    assert rate.unit == "g"
    assert rate.per_m2 == pytest.approx(per_m2, rel=2e-3)
    assert rate.water_l_m2 == (None if water is None else pytest.approx(water, rel=2e-3))
    assert printed in rate.read_back
    assert f"{rate.per_m2:.4g} g on each m²" in rate.read_back


def test_liquids_are_millilitres():
    rate = parse("20 ml in 10 l over 100 m2")
    assert (rate.per_m2, rate.unit, rate.water_l_m2) == (0.2, "ml", 0.1)
    assert parse("3 l/ha").per_m2 == pytest.approx(0.3)


@pytest.mark.parametrize(
    ("printed", "pack"),
    [
        ("covers 150 m²", (3500, "g")),
        ("3.5 kg covers 150 m²", None),
        ("1 box, 3.5 kg, 150 m²", None),
        ("1 bag (3.5 kg) covers 150 m²", None),
    ],
)
def test_coverage_of_a_pack(printed, pack):
    assert parse(printed, pack=pack).per_m2 == pytest.approx(3500 / 150)


@pytest.mark.parametrize(
    "printed", ["21 g in a litre, spray in strips marked with string", "5 %", "5 g/l", "", "35 g/m"]
)
def test_no_area_is_no_rate(printed):
    with pytest.raises(InputRefused, match="without an area is not a rate"):
        parse(printed)


def test_no_pack_no_coverage():
    with pytest.raises(InputRefused, match="size of the pack"):
        parse("covers 150 m²")


@pytest.mark.parametrize(
    ("printed", "one", "other"),
    [
        # Crawley Horticultural Society: 11.4 and 8.5 g/m² in one recipe.
        ("40 g (1 oz) in 10 L (2 gal) over 3.5 m² (4 yd²)", "11.43 g", "8.476 g"),
        # A gardening blog of November 2010: 4.1 and 3.4 g/m².
        ("35 g in 5 l over 8.5 m² or 1 oz in 1 gal over 10 yd²", "4.118 g", "3.391 g"),
        # Cornwall Cricket: 3.1 and 3.4 g/m².
        ("50 g in 10 l over 16 m²; 2 oz in 2 gal over 20 yd²", "3.125 g", "3.391 g"),
        ("5 g in 1 l over 1 m² or 5 g in 2 l over 1 m²", "5 g on each m² in 1 l", "in 2 l"),
        ("5 g/m² or 5 ml/m²", "5 g", "5 ml"),
    ],
)
def test_halves_that_disagree(printed, one, other):
    with pytest.raises(InputRefused, match="two things") as refused:
        parse(printed, gallon="imperial")
    assert one in str(refused.value)
    assert other in str(refused.value)


def test_a_gallon_has_a_country():
    printed = "2 oz in 2 gal over 20 yd²"
    with pytest.raises(InputRefused, match=r"4\.546 l and a US gallon 3\.785"):
        parse(printed)
    assert parse(printed, gallon="imperial").water_l_m2 == pytest.approx(0.5437, abs=1e-4)
    assert parse(printed, gallon="US").water_l_m2 == pytest.approx(0.4527, abs=1e-4)
    # 1 US gal on 1000 sq ft is 0.0407458 l/m², by the exact definitions.
    assert parse("1 g in 1 US gal over 1000 ft2").water_l_m2 == pytest.approx(0.0407458, rel=1e-6)


@pytest.mark.parametrize(
    ("printed", "why"),
    [
        ("35-50 g/m²", "range"),
        ("35 to 50 g/m²", "range"),
        ("35–50 g per m2", "range"),
        ("2,5 g/m²", "decimal comma"),
        ("2,500 kg/ha", "thousand times"),
        ("one handful per m²", "cannot be read"),
        ("2 caps in 10 l over 16 m²", "cannot be read"),
        ("2 bags, 3.5 kg, 150 m²", "cannot be read"),
        ("2 box, 3.5 kg, 150 m²", "cannot be read"),
        ("2 fl oz per 100 m²", "cannot be read"),
        ("-5 g/m²", "cannot be read"),
        ("0 g/m²", "no amount"),
        ("1/0 g/m²", "no amount"),
        ("g/m²", "no number"),
        ("35 g m²", "no number"),
        ("5 g/m² in 1 l", "not understood"),
        ("1 oz a US gallon over 10 yd²", "not understood"),
        ("50 g 20 g over 16 m²", "not understood"),
        ("16 m² 50 g", "not understood"),
        ("35 g/m² or the", "not understood"),
        ("35 g/m² 7", "cannot be read"),
        ("10² g/m²", "cannot be read"),
        ("35 g/m² " + "of the " * 40, "characters"),
    ],
)
def test_what_is_refused(printed, why):
    with pytest.raises(InputRefused, match=why):
        parse(printed)


@given(st.floats(0.001, 1e6), st.floats(0.001, 1e6))
def test_any_metric_recipe_is_its_quotient(grams, area):
    rate = parse(f"{grams:f} g over {area:f} m²")
    assert rate.per_m2 == pytest.approx(float(f"{grams:f}") / float(f"{area:f}"))


@given(st.text(alphabet="0123456789 ./,gklmoz²()hainper=;", max_size=40))
@example("1/1 g/1 m2")
@example(") ( g/ha")
def test_any_text_is_read_or_refused(text):
    try:
        per_m2 = parse(text).per_m2
    except InputRefused:
        per_m2 = 1.0
    assert 0 < per_m2 < float("inf")


@pytest.mark.parametrize(
    ("unit", "size", "measures"),
    # International yard and pound agreement, 1959; UK Weights and Measures Act 1985; the US gallon
    # of 231 cubic inches.
    [
        ("oz", 28.349523125, "g"),
        ("lb", 453.59237, "g"),
        ("acre", 4046.8564224, "m2"),
        ("yd2", 0.9144**2, "m2"),
        ("ft2", 0.3048**2, "m2"),
        ("imperial gal", 4546.09, "ml"),
        ("US gal", 231 * 2.54**3, "ml"),
        ("ha", 10_000, "m2"),
    ],
)
def test_units_by_definition(unit, size, measures):
    found, of = amount("1", unit)
    assert found == pytest.approx(size, rel=1e-12)
    assert of == measures
