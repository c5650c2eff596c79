"""Iron in salts and products against atomic weights, dossiers and trade figures."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.agronomy import iron
from lawnmap.errors import InputRefused
from lawnmap.reference import tables

LIMITS = {"low": 0.6, "high": 2.01, "flag": 3.0, "upper": 4.0}


def share(formula, element="Fe"):
    return iron.fraction(element, tables.salt(formula).atoms, tables.atomic_weights())


@pytest.mark.parametrize(
    ("formula", "element", "percent"),
    # From the IUPAC/CIAAW abridged standard atomic weights.
    [
        ("FeSO4", "Fe", 36.76),
        ("FeSO4·H2O", "Fe", 32.87),
        ("FeSO4·7H2O", "Fe", 20.09),
        ("FeSO4", "S", 21.11),
        ("FeSO4·H2O", "S", 18.87),
        ("FeSO4·7H2O", "S", 11.53),
        ("(NH4)2SO4", "N", 21.20),
        ("Fe", "Fe", 100.0),
    ],
)
def test_share_of_an_element(formula, element, percent):
    assert 100 * share(formula, element) == pytest.approx(percent, abs=0.005)


def test_one_hydrate_as_another():
    # Atomic weights: 1 g monohydrate carries the iron of 1.6361 g heptahydrate.
    assert share("FeSO4·H2O") / share("FeSO4·7H2O") == pytest.approx(1.6361, abs=1e-4)
    assert 1 / share("FeSO4·7H2O") == pytest.approx(4.9782, abs=1e-4)


def test_two_dossiers_of_one_granule_agree():
    # National registration reports UKS150C: Germany 2016 prints 163 g/kg FeSO4, France 2019 prints
    # 182 g/kg of the monohydrate.
    dry = 182 * share("FeSO4·H2O") / share("FeSO4")
    assert dry == pytest.approx(163, abs=0.5)
    german = iron.content(16.3, analyte_fraction=share("FeSO4"), basis="w/w")
    french = iron.content(18.2, analyte_fraction=share("FeSO4·H2O"), basis="w/w")
    assert german.per("g") == pytest.approx(french.per("g"), rel=2e-3)


def test_lawn_sand_as_its_maker_means_it():
    # L. Gale, "Lawn sand", Pitchcare: 1 : 3 : 20 at 140 g/m²; the iron and nitrogen follow from
    # the atomic weights.
    fe = iron.mixture([1, 3, 20], [share("FeSO4·7H2O"), 0, 0])
    n = iron.mixture([1, 3, 20], [0, share("(NH4)2SO4", "N"), 0])
    assert float(iron.dose(140, fe)) == pytest.approx(1.172, abs=5e-4)
    assert float(iron.dose(140, n)) == pytest.approx(3.710, abs=5e-4)
    # With dry iron sulphate the same words carry 1.83 times as much.
    dry = iron.mixture([1, 3, 20], [share("FeSO4"), 0, 0])
    assert float(iron.dose(140, dry)) == pytest.approx(2.14, abs=5e-3)


@pytest.mark.parametrize(
    ("pounds", "grams", "heptahydrate"),
    # T. Cook and others, Oregon State: lb Fe on 1000 sq ft; 1 lb/1000 ft² is 4.88243 g/m².
    [(0.2, 0.98, 4.86), (0.4, 1.95, 9.72), (0.6, 2.93, 14.58), (0.03, 0.146, 0.73)],
)
def test_trial_rates_as_heptahydrate(pounds, grams, heptahydrate):
    fe = pounds * 4.88243
    assert fe == pytest.approx(grams, abs=0.005)
    found = iron.product_dose(fe, share("FeSO4·7H2O"))
    assert float(found) == pytest.approx(heptahydrate, abs=0.01)
    assert float(iron.dose(found, share("FeSO4·7H2O"))) == pytest.approx(fe)


def test_where_a_dose_lies():
    # The published envelope, 3 to 10 g/m² heptahydrate, and I12's 4 lb copperas on 1000 sq ft
    # (P. Schnare, KFVS 2003), which is 19.5 g/m².
    hepta = share("FeSO4·7H2O")
    doses = np.array([0.9, 3.0, 10.0, 14.9, 16.0, 19.5, 20.1, 35.0])
    assert iron.envelope(doses * hepta, **LIMITS).tolist() == [
        "below published",
        "within",
        "within",
        "above published",
        "flagged",
        "flagged",
        "above upper limit",
        "above upper limit",
    ]


def test_a_real_granule_meets_the_upper_limit_at_67_grams():
    # 182 g/kg monohydrate: 4.0 g/m² of iron is 67 g/m² of the granule.
    granule = iron.content(18.2, analyte_fraction=share("FeSO4·H2O"), basis="w/w").per("g")
    assert float(iron.product_dose(4.0, granule)) == pytest.approx(67, abs=0.5)
    assert str(iron.envelope(iron.dose(66, granule), **LIMITS)) == "flagged"
    assert str(iron.envelope(iron.dose(68, granule), **LIMITS)) == "above upper limit"


def test_an_unknown_dose_is_never_within():
    assert str(iron.envelope(np.nan, **LIMITS)) == "above upper limit"


def test_liquid_by_weight_needs_its_density():
    liquid = iron.content(6, analyte_fraction=1, basis="w/w")
    assert liquid.per("g") == pytest.approx(0.06)
    with pytest.raises(InputRefused, match="density"):
        liquid.per("ml")
    known = iron.content(6, analyte_fraction=1, basis="w/w", density_kg_l=1.25)
    assert known.per("ml") == pytest.approx(0.075)


def test_bases_agree_through_the_density():
    by_volume = iron.content(7.5, analyte_fraction=1, basis="w/v", density_kg_l=1.25)
    by_litre = iron.content(75, analyte_fraction=1, basis="g/l", density_kg_l=1.25)
    by_weight = iron.content(6, analyte_fraction=1, basis="w/w", density_kg_l=1.25)
    assert by_volume == by_litre
    assert by_volume.per_g == pytest.approx(by_weight.per_g)
    assert by_volume.per_ml == pytest.approx(by_weight.per_ml)


@pytest.mark.parametrize(
    ("analysis", "basis", "density"),
    [(6, "", None), (6, "%", None), (0, "w/w", None), (101, "w/w", None), (-1, "w/v", None),
     (1001, "g/l", None), (float("nan"), "w/w", None), (6, "w/w", 0.0), (6, "w/w", -1.2)],
)  # fmt: skip
def test_an_analysis_that_says_nothing(analysis, basis, density):
    with pytest.raises(InputRefused, match="analysis"):
        iron.content(analysis, analyte_fraction=1, basis=basis, density_kg_l=density)


def test_a_mix_needs_its_fractions():
    with pytest.raises(ValueError, match="fraction"):
        iron.mixture([1, 3], [0.2])
    with pytest.raises(ValueError, match="iron"):
        iron.product_dose(1.0, 0.0)


@given(st.floats(0.01, 100), st.floats(0.001, 1))
def test_dose_there_and_back(product, per_unit):
    back = iron.product_dose(iron.dose(product, per_unit), per_unit)
    assert float(back) == pytest.approx(product)


def test_times_published():
    assert float(iron.times_published(4.02, 2.01)) == pytest.approx(2)
