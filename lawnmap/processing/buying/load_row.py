"""A row of the table ``loads``: how often a container is filled for a step, and what is in it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lawnmap.agronomy.mixing import Load
from lawnmap.logistics.loads import loads as count_loads

LEAST_LAST = 1e-6  # of a load


def load_row(
    step: Mapping[Any, Any], full: Load, *, container_l: float, unit: str, runs: float = 1.0
) -> dict[str, Any]:
    """Return the row of a step, without words.

    Parameters
    ----------
    step : mapping
        A row of the table ``steps``.
    full : Load
        What a full container holds and does in one run; without water that is NaN.
    container_l : float
        What the container holds [l].
    unit : str
        Of the product.
    runs : float
        Times over the ground, each at its share of the dose.
    """
    number, last = (float(each) for each in count_loads(step["area_m2"], full.area_m2))
    last = last if last > LEAST_LAST else 0.0
    return {
        **{name: step[name] for name in ("zone_id", "operation", "sequence", "product", "machine")},
        "container_l": container_l,
        "runs": runs,
        "full_loads": number,
        "full_product": full.product,
        "full_water_l": full.water_l,
        "full_area_m2": full.area_m2,
        "last_product": last * full.product,
        "last_water_l": last * full.water_l,
        "last_area_m2": last * full.area_m2,
        "product_unit": unit,
        "rule": "",
        "flag": "",
    }
