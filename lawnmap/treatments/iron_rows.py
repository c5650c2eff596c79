"""Steps of work with iron, whatever its form: what the label says, where and how often.

The dose on one square metre is the label's. Moss decides on how much of the zone and how often.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap import schema
from lawnmap.agronomy import feeding, iron, mixing, moss
from lawnmap.model import Product, Specification
from lawnmap.reference import tables
from lawnmap.treatments import calibrated, names, row, work
from lawnmap.treatments.chosen import Chosen
from lawnmap.treatments.label_dose import LabelDose, card, label_dose, published_dose

Floats = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]
Texts = npt.NDArray[np.object_]

LIMITS = ("fe_low_g_m2", "fe_high_g_m2", "fe_flag_g_m2", "fe_upper_g_m2")
WATER = {"can": "can_water_l_m2", "knapsack": "knapsack_water_l_m2", "boom": "boom_water_l_m2"}
SPREAD = ("lawn sand", "granule")
STOPPED = (schema.NOT_SET, schema.NOT_ALLOWED, schema.LATER)
DROUGHT = "a water ban is on: no iron in drought, it scorches; wait for rain and growth"
AUGUST = 8


class Judged(NamedTuple):
    """A dose held against what is published: status and rule of its rows, and what to look at."""

    per_m2: float
    unit: str
    iron_g_m2: float
    status: str
    rule: str
    flag: str
    said: str


def iron_rows(
    zones: gpd.GeoDataFrame, specification: Specification, *, operation: str, forms: tuple[str, ...]
) -> pd.DataFrame:
    """Return the rows of one form of iron.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the step ``choose``.
    specification : Specification
    operation : str
        Name of the treatment.
    forms : tuple of str
        Forms of a label card that it takes.
    """
    every, words = Chosen(zones), specification.words
    here = every.where(every.among("iron_form", *forms))
    product = here.names("iron_product")
    found = [
        _of_product(
            here.where(product == name), card(name, specification), specification, operation
        )
        for name in sorted(product.unique())
    ]
    return row.joined(found, words=words) if found else row.none(words=words)


def judged(product: Product | None, specification: Specification) -> Judged:
    """Return the dose of a product as it may be planned, whatever the zone says."""
    if product is None:
        dose, fe = published_dose(None)
        said = "as iron sulphate heptahydrate, to compare prices"
        return Judged(dose, "g", fe, schema.PRICING, "", "", said)
    label = label_dose(product)
    claims = product.authorised_for_moss and bool(product.authorisation_no)
    if label.per_m2 is None and not claims and product.form != "liquid":
        dose, fe = published_dose(product)
        return Judged(dose, "g", fe, schema.PRICING, "iron_pricing_only", "", "at a published rate")
    if label.per_m2 is None:
        return Judged(
            np.nan, label.unit, np.nan, schema.NOT_SET, "iron_not_set", "no rate on the card", ""
        )
    rule, flag = _held_against_published(label, product)
    status = schema.DO if claims else schema.PRICING
    if rule == "iron_above_limit":
        status = schema.NOT_ALLOWED
    elif not claims:
        rule = "iron_pricing_only"
    fe = np.nan if label.iron_g_m2 is None else label.iron_g_m2
    flags = "; ".join(each for each in (flag, *_missing(product, specification)) if each)
    return Judged(label.per_m2, label.unit, fe, status, rule, flags, label.said)


def nitrogen_g_m2(product: Product | None, specification: Specification) -> float:
    """Return the nitrogen that one application brings [g/m²]; 0 where the card names none."""
    if product is None or not product.nitrogen_pct:
        return 0.0
    dose = judged(product, specification)
    grams = dose.per_m2 if dose.unit == "g" else dose.per_m2 * (product.density_kg_l or np.nan)
    return float(np.nan_to_num(feeding.nitrogen(grams, product.nitrogen_pct)))


def _held_against_published(label: LabelDose, product: Product) -> tuple[str, str]:
    """Return the rule and the flag of a label's dose by the iron it carries."""
    usual = "sand_label_rate" if product.form in SPREAD else "iron_label_rate"
    if label.iron_g_m2 is None:
        return usual, "the card does not say how much iron this is: it is held against nothing"
    low, high, flag, upper = (tables.value(each).number for each in LIMITS)
    found = str(iron.envelope(label.iron_g_m2, low=low, high=high, flag=flag, upper=upper))
    times = float(iron.times_published(label.iron_g_m2, high))
    if found == "above upper limit" and not label.typed_twice:
        told = f"{times:.3g} times the published rate: copy the rate from the label a second time"
        return "iron_above_limit", f"{told}, as rate_typed_again, or correct it"
    if found in ("above published", "flagged", "above upper limit"):
        return "iron_above_published", f"{times:.3g} times the published rate"
    return usual, "below the published rates" if found == "below published" else ""


def _missing(product: Product, specification: Specification) -> tuple[str, ...]:
    """Return what the card does not say and a person has to look up."""
    day = specification.choice("first_day") or specification.choice("today")
    late = product.form in SPREAD and bool(product.nitrogen_pct)
    return (
        "" if product.use_by else "no last day of the approval on the card: look it up",
        "" if product.user else "the card does not say who may use it: look it up",
        "nitrogen after August" if late and day is not None and day.month > AUGUST else "",
    )


def _of_product(
    zones: Chosen, product: Product | None, specification: Specification, operation: str
) -> pd.DataFrame:
    """Return a row for each zone, then those of the further applications."""
    dose = judged(product, specification)
    here, number = _with_repeats(zones, dose)
    first, stopped = number == 1, here.among("iron_status", *STOPPED)
    dead = stopped | (dose.status in (schema.NOT_SET, schema.NOT_ALLOWED))
    live = np.where(dead, np.nan, 1.0)
    ground, extent = here.numbers("iron_area_m2"), np.asarray(here.names("iron_extent"))
    area, least = (
        moss.treated_area(ground, here.numbers(column), extent)
        for column in ("moss_high_pct", "moss_low_pct")
    )
    machine = here.names("iron_machine")
    low, high = work.hours(area, machine, specification, _runs(product))
    water = _water_l_m2(machine, product, specification)
    sprayed = np.nan if product is not None and product.form in SPREAD else 1.0
    said = _Said(here, number, machine, water * sprayed, dead, dose, product, specification)
    return row.rows(
        here,
        operation,
        words=specification.words,
        rule=_rules(here, first, stopped, dose.rule),
        status=names.either(stopped, here.names("iron_status"), dose.status),
        product=product.name if product else "",
        machine=machine,
        area_m2=area * live,
        dose=dose.per_m2 * live,
        dose_unit=f"{dose.unit}/m²",
        amount_low=np.where(first, dose.per_m2 * least * live, 0.0),
        amount=dose.per_m2 * area * live,
        unit=dose.unit,
        iron_g_m2=dose.iron_g_m2,
        nitrogen_g_m2=_or_empty(nitrogen_g_m2(product, specification)) * live,
        water_l=mixing.water_volume(area, water) * sprayed * live
        if dose.status == schema.DO
        else np.nan,
        hours_low=np.where(first, low * live, 0.0),
        hours=high * live,
        flag=lambda: np.where(stopped, "", said.settings.flag),
        remark=said.remarks,
    )


def _with_repeats(zones: Chosen, dose: Judged) -> tuple[Chosen, npt.NDArray[np.intp]]:
    """Return zones with the number of the application: they come again for the further ones.

    These are what moss asks for and the label allows; what is not applied at all is not repeated.
    """
    once = zones.among("iron_status", *STOPPED) | (dose.status != schema.DO)
    doses = np.where(once, 1.0, zones.numbers("iron_doses"))
    most = max(1, int(doses.max(initial=1.0)))
    places = [np.arange(len(zones)), *(np.flatnonzero(doses >= n) for n in range(2, most + 1))]
    number = np.repeat(np.arange(1, most + 1), [len(each) for each in places])
    return (zones.at(np.concatenate(places)) if most > 1 else zones), number


def _rules(zones: Chosen, first: Mask, stopped: Mask, rule: str) -> pd.Categorical:
    """Return the rule of each row: of a further application, of the dose, or of the zone."""
    own = zones.names("iron_rule")
    return names.either(first, names.either(stopped, own, rule or own), "iron_repeat")


def _runs(product: Product | None) -> float:
    """Return the times over the ground: what is spread dry goes on in half-rate runs."""
    dry = product is not None and product.form in SPREAD
    return tables.value("half_rate_runs").number if dry else 1.0


def _water_l_m2(
    machine: pd.Categorical, product: Product | None, specification: Specification
) -> Floats:
    """Return the water of each zone [l/m²]: the label's, else the applicator's within its range."""
    printed = label_dose(product).water_l_m2 if product is not None else None
    if printed is not None:
        return np.full(len(machine), printed)
    found: Floats = names.figures(machine, lambda each: _applicator_l_m2(each, specification))
    low = product.water_low_l_m2 if product is not None else None
    high = product.water_high_l_m2 if product is not None else None
    least, most = 0.0 if low is None else low, np.inf if high is None else high
    return np.clip(found, least, most)


def _applicator_l_m2(name: str, specification: Specification) -> float:
    """Return the water of an applicator: its card's, else usual for its kind; NaN for none."""
    own = specification.machines.get(name)
    if own is not None and own.water_l_m2 is not None:
        return own.water_l_m2
    usual = WATER.get(work.kind(name, specification))
    return np.nan if usual is None else tables.value(usual).number


def _or_empty(value: float) -> float:
    return value if value > 0 else np.nan


@dataclass(frozen=True, eq=False)
class _Said:
    """What is said of each row; it is made when it is read."""

    zones: Chosen
    number: npt.NDArray[np.intp]
    machine: pd.Categorical
    water_l_m2: Floats
    dead: Mask
    dose: Judged
    product: Product | None
    specification: Specification

    @cached_property
    def settings(self) -> calibrated.Setting:
        """What the spreader is set to, and everything to look at."""
        drought = DROUGHT if self.specification.choice("water_ban") else ""
        flag = "; ".join(each for each in (drought, self.dose.flag) if each)
        machine, called = np.asarray(self.machine), self.product.name if self.product else ""
        return calibrated.settings(machine, called, self.dose.per_m2, self.specification, flag)

    def remarks(self) -> Texts:
        """Return how it is put on; of a further application, when."""
        where = np.where(self.zones.among("iron_extent", "spot"), "on the patches only. ", "")
        machine = np.asarray(self.machine)
        water = calibrated.remarks(machine, self.water_l_m2, self.specification)
        how = where + self._how() + water + self.settings.remark
        again = [f"application {each}, only if moss is still green: then seed waits again"
                 for each in self.number]  # fmt: skip
        told = np.where(self.dead, "", how)
        return np.where(self.number == 1, told, np.array(again, dtype=object))

    def _how(self) -> str:
        if self.product is not None and self.product.form in SPREAD:
            return f"{self.dose.said}. Half one way, half across, the spreader set at half the rate"
        return self.dose.said
