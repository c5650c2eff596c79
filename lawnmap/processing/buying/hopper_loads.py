"""What goes into the hopper of a spreader at each filling, and the ground it does in one run."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lawnmap.agronomy.mixing import Load
from lawnmap.model import Machine, Specification
from lawnmap.processing import machines
from lawnmap.processing.buying.load_row import load_row
from lawnmap.reference import tables
from lawnmap.reference.tables import shown

KINDS = ("granules", "seed")  # of treatments that put grams down dry
DRESSING = "top_dressing"
SPREADER = "spreader"
# What a litre weighs, by the form of the label card, where the card does not say.
DENSITIES = {
    "lawn sand": "sand", "granule": "granules", "feed": "granules", "seed": "grass_seed",
    "dressing": "dressing",
}  # fmt: skip
FORM_OF = {"overseeding": "seed", "feeding": "feed", DRESSING: "dressing"}  # without a card


class Filling(NamedTuple):
    """A full hopper: product in its unit, and litres and kilograms of it."""

    product: float
    litres: float
    kilograms: float


class Density(NamedTuple):
    """Kilograms in a litre as poured, and what says so."""

    kg_l: float
    source: str


def hopper_load(step: dict[Any, Any], specification: Specification) -> dict[str, Any]:
    """Return a row of the table ``loads`` for a step with a spreader; none without its hopper.

    Parameters
    ----------
    step : dict
        A row of the table ``steps``: grams dry, or dressing in litres on a square metre.
    specification : Specification

    Returns
    -------
    dict
        The loads are those of one run; ``runs`` says how many there are, each at its share of the
        dose. Runs × (full loads × load + last part-load) is the dose on the whole ground.
    """
    machine = machines.named(step["machine"], specification)
    if machine is None or machine.kind != SPREADER or not step["dose"] > 0:
        return {}
    poured = step["operation"] == DRESSING  # a layer is laid in one run
    runs = 1.0 if poured else tables.value("half_rate_runs").number
    density = _density(step, specification)
    full = _filling(machine, density.kg_l, poured=poured)
    if full is None:
        return {}
    a_run = step["dose"] / runs
    load = Load(full.product, np.nan, full.product / a_run)
    row = load_row(
        step, load, container_l=machine.box_l or np.nan, unit="l" if poured else "g", runs=runs
    )
    return {**row, "remark": _words(full, density, poured=poured)}


def _density(step: dict[Any, Any], specification: Specification) -> Density:
    """Return what the card says, else the least that is published, which surely fits."""
    product = specification.products.get(step["product"])
    if product is not None and product.bulk_kg_l:
        return Density(product.bulk_kg_l, "by its card")
    form = product.form if product is not None else FORM_OF.get(step["operation"], "")
    if form not in DENSITIES:
        return Density(np.nan, "")
    found = tables.value(DENSITIES[form])
    kind = DENSITIES[form].replace("_", " ")
    said = f"by {kind} ({found.standing}): weigh a litre of yours for the card"
    return Density(found.low / 1000, said)


def _filling(machine: Machine, kg_l: float, *, poured: bool) -> Filling | None:
    """Return a full hopper: full by litres or by weight, whichever comes first."""
    kilograms = min(
        (machine.box_l * kg_l if machine.box_l and kg_l > 0 else np.inf),
        (machine.hopper_kg or np.inf),
    )
    if not np.isfinite(kilograms):
        return None
    litres = kilograms / kg_l if kg_l > 0 else np.nan
    product = litres if poured else kilograms * 1000
    return Filling(product, litres, kilograms) if product > 0 else None


def _words(full: Filling, density: Density, *, poured: bool) -> str:
    if np.isnan(full.litres):
        return "full by weight; nobody said what a litre weighs"
    weight = f"{shown(full.kilograms)} kg" if poured else f"{shown(full.litres)} l"
    return f"a full hopper is {weight} at {shown(density.kg_l)} kg/l, {density.source}"
