"""What the use of the turf of each zone changes: its own use, else that of the site."""

from __future__ import annotations

import pandas as pd

from lawnmap.model import Specification
from lawnmap.treatments import names
from lawnmap.treatments.chosen import Chosen

USUAL = "general lawn"


def turfs(zones: Chosen, specification: Specification) -> pd.Categorical:
    """Return the turf type of each zone, as it stands in the turf table."""
    mapped, chosen = zones.names("turf_type"), zones.choice(specification, "turf_type")
    return names.renamed(names.either(mapped != "", mapped, chosen), lambda each: each or USUAL)
