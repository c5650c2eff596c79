"""The step ``dissolving``: whether each load dissolves in water as warm as it is."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from lawnmap.agronomy import iron, mixing
from lawnmap.processing.buying.weigh_out import joined
from lawnmap.reference import tables

HYDRATE = "FeSO4·7H2O"
KEYS = ["zone_id", "operation", "sequence"]
RULE = {"near the limit": "mix_near_limit", "will not dissolve": "mix_too_strong"}


def dissolving(
    loads: pd.DataFrame, steps: pd.DataFrame, *, water_c: float | None = None
) -> pd.DataFrame:
    """Hold each load of a solid product, as heptahydrate, against what dissolves.

    Parameters
    ----------
    loads, steps : DataFrame
        The tables of those names.
    water_c : float, optional
        Temperature of the water [°C]. Unknown, it is read at the coldest of the table; anything
        between two of its rows at the colder.

    Returns
    -------
    DataFrame
        `loads` with ``water_c``; ``concentration_g_l``; ``as_salt_g_l``, its iron as iron sulphate
        heptahydrate (the product itself when its iron is not known) in a litre of mix;
        ``dissolves_g_l``, the most that dissolves; ``least_water_l``, in which the product of a
        full load dissolves with room to spare; and ``rule`` and ``flag`` where it will not, or
        hardly. A liquid has none of these.
    """
    dose = loads[KEYS].merge(steps[[*KEYS, "dose", "iron_g_m2"]], on=KEYS, how="left")
    solid = (loads["product_unit"] == "g").to_numpy(dtype=bool)
    share = iron.fraction("Fe", tables.salt(HYDRATE).atoms, tables.atomic_weights())
    salt_per_g = (dose["iron_g_m2"] / share / dose["dose"]).to_numpy(dtype=float)
    salt_per_g = np.where(np.isfinite(salt_per_g), salt_per_g, 1.0)
    strength = mixing.concentration(loads["full_product"], loads["full_water_l"])
    as_salt = strength * salt_per_g
    table = tables.solubility()
    water = np.nan if water_c is None else water_c
    most = float(
        mixing.ceiling(
            water, [each.water_c for each in table], [each.ceiling_g_l for each in table]
        )
    )
    warn = tables.value("solubility_warn_share").number
    answer = mixing.dissolving(as_salt, most, warn)
    found = loads.assign(
        water_c=water,
        concentration_g_l=np.where(solid, strength, np.nan),
        as_salt_g_l=np.where(solid, as_salt, np.nan),
        dissolves_g_l=np.where(solid, most, np.nan),
        least_water_l=np.where(solid, loads["full_product"] * salt_per_g / (warn * most), np.nan),
        rule=[RULE.get(str(a), "") if s else "" for a, s in zip(answer, solid, strict=True)],
    )
    flags = [
        joined(row["flag"], tables.sentence(row["rule"], row) if row["rule"] else "")
        for row in _records(found)
    ]
    return found.assign(flag=pd.Series(flags, index=found.index, dtype=object))


def _records(table: pd.DataFrame) -> list[dict[str, Any]]:
    return [{str(name): cell for name, cell in row.items()} for row in table.to_dict("records")]
