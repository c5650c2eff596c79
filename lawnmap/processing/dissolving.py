"""The step ``dissolving``: whether each load dissolves in water as warm as it is."""

from __future__ import annotations

import numpy as np
import pandas as pd

from lawnmap.agronomy import iron, mixing
from lawnmap.reference import tables

HYDRATE = "FeSO4·7H2O"
KEYS = ["zone_id", "operation", "sequence"]


def dissolving(
    loads: pd.DataFrame, steps: pd.DataFrame, *, water_c: float = float("nan")
) -> pd.DataFrame:
    """Return one row a load of a solid product, held as heptahydrate against what dissolves.

    Parameters
    ----------
    loads, steps : DataFrame
        The tables of those names.
    water_c : float
        Temperature of the water [°C]. NaN, when nobody measured it, is read at the coldest of the
        table; anything between two of its rows at the colder.

    Returns
    -------
    DataFrame
        The keys of the load; ``as_salt_g_l``, its iron as iron sulphate heptahydrate (the product
        itself when its iron is not known) in a litre of mix; ``ceiling_g_l``, what dissolves;
        ``share_pct`` of that; ``answer``, one of :data:`lawnmap.agronomy.mixing.DISSOLVES`; and
        ``least_water_l``, in which the product of a full container dissolves with room to spare.
    """
    solid = loads[loads["product_unit"] == "g"]
    found = solid.merge(steps[[*KEYS, "dose", "iron_g_m2"]], on=KEYS, how="left", validate="1:1")
    share = iron.fraction("Fe", tables.salt(HYDRATE).atoms, tables.atomic_weights())
    salt_per_g = found["iron_g_m2"] / share / found["dose"]
    salt_per_g = salt_per_g.where(np.isfinite(salt_per_g), 1.0)
    table = tables.solubility()
    most = float(
        mixing.ceiling(
            water_c, [each.water_c for each in table], [each.ceiling_g_l for each in table]
        )
    )
    warn = tables.value("solubility_warn_share").number
    strength = mixing.concentration(found["full_product"], found["full_water_l"]) * salt_per_g
    return found[KEYS].assign(
        as_salt_g_l=strength,
        ceiling_g_l=most,
        share_pct=100 * strength / most,
        answer=mixing.dissolving(strength, most, warn).astype(object),
        least_water_l=found["full_product"] * salt_per_g / (warn * most),
    )
