"""Which grasses to sow where: by light, wear and use of the turf."""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap.model import Specification
from lawnmap.processing.judgement.cases import first, is_word, said
from lawnmap.processing.judgement.turf import Turfs
from lawnmap.reference import tables

USUAL = "general_lawn"
BY_TURF = {
    "cricket square": "perennial_ryegrass",
    "bowls/croquet/tennis": "fescue_bent",
    "sports pitch": "ryegrass_mixture",
    "ornamental lawn": "fine_lawn",
}
GAMES = ("cricket square", "bowls/croquet/tennis", "sports pitch")


def seed_for(
    zones: gpd.GeoDataFrame, turf: Turfs, specification: Specification
) -> tuple[pd.Categorical, pd.Categorical]:
    """Return the species or mixture that suits each zone, by name, and the rule behind it.

    A mixture chosen in words that the table of seeds knows goes before what the place asks for;
    what a game needs goes before light and wear.
    """
    words = str((specification.choice("seeding") or {}).get("mixture") or "").lower().strip()
    own = next((each for each in tables.seeds().values() if words in (each.name, each.id)), None)
    shaded = zones["sun_used_h"].to_numpy(dtype=float) < tables.value("sun_vigorous_h").number
    worn = is_word(zones["wear"], "heavy")
    uses = {name: turf.codes == place for place, name in enumerate(tables.turfs())}
    cases = [
        (np.array(own is not None), own.id if own else USUAL, "seed_chosen"),
        *((uses[game], BY_TURF[game], "seed_for_turf") for game in GAMES),
        (shaded & worn, "tall_fescue", "seed_for_shade_and_wear"),
        (shaded, "red_fescue", "seed_for_shade"),
        (worn, "general_ryegrass", "seed_for_wear"),
        (uses["ornamental lawn"], BY_TURF["ornamental lawn"], "seed_for_turf"),
    ]
    case = first([mask for mask, _, _ in cases], len(zones))
    names = [tables.seed(seed).name for seed in (*(seed for _, seed, _ in cases), USUAL)]
    return said(case, names), said(case, [*(rule for _, _, rule in cases), "seed_usual"])
