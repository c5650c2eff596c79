"""Steps of work with iron, whatever its form: what the label says, where and how often.

The dose on one square metre is the label's. Moss decides on how much of the zone and how often.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap import schema
from lawnmap.agronomy import feeding, iron, moss
from lawnmap.model import Product, Specification
from lawnmap.reference import tables
from lawnmap.treatments import calibrated, row, work
from lawnmap.treatments.label_dose import LabelDose, card, label_dose, published_dose

Floats = npt.NDArray[np.float64]

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
    here = zones[zones["iron_form"].isin(forms)]
    found = [
        _of_product(group, card(str(name), specification), specification, operation)
        for name, group in here.groupby("iron_product", sort=True)
    ]
    return pd.concat(found, ignore_index=True) if found else row.none()


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
    zones: gpd.GeoDataFrame,
    product: Product | None,
    specification: Specification,
    operation: str,
) -> pd.DataFrame:
    dose = judged(product, specification)
    stopped = zones["iron_status"].isin(STOPPED).to_numpy()
    dead = stopped | (dose.status in (schema.NOT_SET, schema.NOT_ALLOWED))
    area, least = (
        moss.treated_area(zones["iron_area_m2"], zones[column], zones["iron_extent"])
        for column in ("moss_high_pct", "moss_low_pct")
    )
    machine = zones["iron_machine"].to_numpy(dtype=object)
    low, high = work.hours(area, machine, specification, _runs(product))
    spot = zones["iron_extent"].to_numpy(dtype=object) == "spot"
    rules = dose.rule or zones["iron_rule"].to_numpy(dtype=object)
    water = _water_l_m2(machine, product, specification)
    live = np.where(dead, np.nan, 1.0)
    flag = _with_drought(dose.flag, specification)
    called = product.name if product else ""
    set_at = calibrated.settings(machine, called, dose.per_m2, specification, flag)
    sprayed = np.nan if product is not None and product.form in SPREAD else 1.0
    applied = dose.status == schema.DO
    columns: dict[str, Any] = {
        "status": np.where(stopped, zones["iron_status"], dose.status),
        "product": zones["iron_product"],
        "machine": machine,
        "area_m2": area * live,
        "dose": dose.per_m2 * live,
        "dose_unit": f"{dose.unit}/m²",
        "amount_low": dose.per_m2 * least * live,
        "amount": dose.per_m2 * area * live,
        "unit": dose.unit,
        "iron_g_m2": dose.iron_g_m2,
        "nitrogen_g_m2": _or_empty(nitrogen_g_m2(product, specification)) * live,
        "water_l": area * water * sprayed * live if applied else np.nan,
        "hours_low": low * live,
        "hours": high * live,
        "flag": np.where(stopped, "", set_at.flag),
        "remark": np.where(
            dead,
            "",
            np.where(spot, "on the patches only. ", "")
            + _how(dose, product)
            + calibrated.remarks(machine, water * sprayed, specification)
            + set_at.remark,
        ),
    }
    first = row.rows(zones, operation, rule=np.where(stopped, zones["iron_rule"], rules), **columns)
    return pd.concat([first, *_repeats(first, zones)], ignore_index=True)


def _runs(product: Product | None) -> float:
    """Return the times over the ground: what is spread dry goes on in half-rate runs."""
    dry = product is not None and product.form in SPREAD
    return tables.value("half_rate_runs").number if dry else 1.0


def _with_drought(flag: str, specification: Specification) -> str:
    drought = DROUGHT if specification.choice("water_ban") else ""
    return "; ".join(each for each in (drought, flag) if each)


def _repeats(first: pd.DataFrame, zones: gpd.GeoDataFrame) -> list[pd.DataFrame]:
    """Return the further applications that moss asks for and the label allows."""
    doses = zones["iron_doses"].to_numpy(dtype=float)
    sources, standing = row.grounds("iron_repeat")
    again = []
    for number in range(2, int(doses.max(initial=0)) + 1):
        rows = first[(doses >= number) & first["status"].isin([schema.DO]).to_numpy()]
        again.append(
            rows.assign(
                rule="iron_repeat", sources=sources, standing=standing, amount_low=0.0,
                hours_low=0.0,
                remark=f"application {number}, only if moss is still green: then seed waits again",
            )
        )  # fmt: skip
    return again


def _water_l_m2(
    machine: npt.NDArray[np.object_], product: Product | None, specification: Specification
) -> Floats:
    """Return the water of each zone [l/m²]: the label's, else the applicator's within its range."""
    printed = label_dose(product).water_l_m2 if product is not None else None
    if printed is not None:
        return np.full(len(machine), printed)
    found = []
    for name in machine:
        own = specification.machines.get(name)
        usual = WATER.get(work.kind(name, specification))
        value = own.water_l_m2 if own is not None else None
        if value is None and usual is not None:
            value = tables.value(usual).number
        found.append(np.nan if value is None else value)
    low = product.water_low_l_m2 if product is not None else None
    high = product.water_high_l_m2 if product is not None else None
    least, most = 0.0 if low is None else low, np.inf if high is None else high
    return np.minimum(np.maximum(np.array(found, dtype=np.float64), least), most)


def _how(dose: Judged, product: Product | None) -> str:
    if product is not None and product.form in SPREAD:
        return f"{dose.said}. Half one way, half across, the spreader set at half the rate"
    return dose.said


def _or_empty(value: float) -> float:
    return value if value > 0 else np.nan
