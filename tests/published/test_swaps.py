"""The checks fail when one unit is taken for another: proof that they would notice it."""

import re
from dataclasses import replace

import pytest

from lawnmap.agronomy import field_units
from lawnmap.agronomy.field_units import measured
from lawnmap.errors import InputRefused
from lawnmap.reference import tables
from tests.published.check import checks

ALL = list(checks())
SALTS = ("Fe", "FeSO4", "FeSO4·H2O", "FeSO4·7H2O")
PAIRS = list(zip(SALTS[1:], SALTS[2:] + SALTS[:1], strict=True))
COUNTRIES = {"US": "imperial", "imperial": "US"}
OUNCE = re.compile(r"([\d./]+) US fl oz")


def taken_for(check, place, other):
    """Return a check with another text given at one place."""
    given = tuple(other if at == place else each for at, each in enumerate(check.given))
    return replace(check, given=given)


def by_country():
    """Return every check with one of its gallons, pints or fluid ounces of the other country."""
    for check in ALL:
        for place, each in enumerate(check.given):
            for country, other in COUNTRIES.items():
                if isinstance(each, str) and f"{country} " in each:
                    yield taken_for(check, place, each.replace(country, other))


def by_salt(others):
    """Return every check with one of its salts taken for another of `others`."""
    for check in ALL:
        for place, each in enumerate(check.given):
            for other in others:
                if each in SALTS and other != each:
                    yield taken_for(check, place, other)


def by_weight():
    """Return every check with its fluid ounces weighed: as much water as there are ounces."""
    for check in ALL:
        for place, each in enumerate(check.given):
            found = OUNCE.search(each) if isinstance(each, str) else None
            if found:
                grams = measured(f"{found[1]} oz", "mass")  # 1 g of water is 1 ml
                yield taken_for(check, place, OUNCE.sub(f"{grams} ml", each))


@pytest.mark.parametrize("swapped", list(by_country()), ids=str)
def test_us_and_imperial_are_told_apart(swapped):
    assert swapped.off() > swapped.allowed


@pytest.mark.parametrize("swapped", list(by_salt(SALTS[1:])), ids=str)
def test_hydrates_are_told_apart(swapped):
    assert swapped.off() > swapped.allowed


@pytest.mark.parametrize("swapped", list(by_salt(SALTS[:1])), ids=str)
def test_iron_is_told_from_its_salts(swapped):
    assert swapped.off() > swapped.allowed


@pytest.mark.parametrize("swapped", list(by_weight()), ids=str)
def test_ounces_of_weight_are_told_from_fluid_ounces(swapped):
    assert swapped.off() > swapped.allowed


def test_there_is_something_to_swap():
    counts = [len(list(each)) for each in (by_country(), by_salt(SALTS), by_weight())]
    assert min(counts) >= 5


@pytest.mark.parametrize(
    ("text", "kind"),
    [("7.5 oz", "volume"), ("2 US fl oz", "mass"), ("8 oz/acre", "water"), ("3 gal", "volume")],
)
def test_one_kind_of_ounce_is_never_read_as_the_other(text, kind):
    with pytest.raises(InputRefused):
        measured(text, kind)


def failing():
    return [check for check in ALL if check.off() > check.allowed]


@pytest.mark.parametrize(
    ("one", "other"),
    [("US gal", "imperial gal"), ("US fl oz", "imperial fl oz"), ("imperial pt", "US pt")],
)
def test_a_wrong_measure_in_the_code_is_found(monkeypatch, one, other):
    litres = field_units.KINDS["volume"][1]
    monkeypatch.setitem(litres, one, litres[other])
    assert failing()


def test_a_fluid_ounce_that_is_a_weight_in_the_code_is_found(monkeypatch):
    monkeypatch.setitem(field_units.KINDS["volume"][1], "US fl oz", 28.349523125 / 1000)
    assert failing()


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_a_wrong_salt_in_the_table_is_found(monkeypatch, one, other):
    monkeypatch.setitem(tables.salts(), one, tables.salt(other))
    assert failing()
