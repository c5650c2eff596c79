"""The invented garden, and its maker as a module, for the tests of map data."""

import importlib.util
from pathlib import Path

PLANS = Path(__file__).parents[2] / "sample_geo" / "plans"


def _loaded():
    spec = importlib.util.spec_from_file_location("make_map_data", PLANS / "make_map_data.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


maker = _loaded()


def truth(name):
    """Return the area of a lawn less the bed in it [m²], by the coordinates it was drawn with."""
    bed = maker.BED if name == "Back lawn" else []
    return area(maker.ZONES[name]) - (area(bed) if bed else 0)


def area(ring):
    pairs = zip(ring, ring[1:] + ring[:1], strict=True)
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)) / 2
