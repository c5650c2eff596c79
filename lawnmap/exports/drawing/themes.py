"""How zones are coloured: by moss, thatch, sun or the work to be done.

Each palette runs in one hue from light to dark, so that people who do not tell hues apart, and a
black-and-white print, still see the order; a hatch that grows denser says it a second time.
"""

from __future__ import annotations

from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.agronomy.ratings import Bands, rating
from lawnmap.exports.wording.amounts import text
from lawnmap.exports.wording.bands import INFINITY, band_label
from lawnmap.pages.words import known, word
from lawnmap.reference.tables import bands

SUN_H: Bands = ((0, 2), (2, 4), (4, 6), (6, INFINITY))  # only groups what is shown; decides nothing
WORK = ("leave it alone", "light work", "renovate", "staged")

PALETTES = {
    "moss": ("#fcf8e3", "#dde5b6", "#b3cb86", "#80a75a", "#4d7d40", "#23502c"),
    "thatch": ("#fdf6e4", "#eed7a9", "#d3a968", "#a5713c", "#663b1e"),
    "sun": ("#34386b", "#6771a6", "#a3b1cf", "#f8e491"),
    "work": ("#fbfaf4", "#b7d3d6", "#6c9fa9", "#295763"),
    "day": ("#fbf4f8", "#ecd3e3", "#d3a3c6", "#b077a4", "#854b7f", "#4f2456"),
}
UNKNOWN = "#ffffff"


class Theme(NamedTuple):
    """One way to colour the zones.

    Attributes
    ----------
    name : str
        ``moss``, ``thatch``, ``sun`` or ``work``.
    classes : (n,) array
        Class of each zone, counted from 0; −1 where it is not known.
    labels : tuple of str
        What each class is called.
    colours : tuple of str
    """

    name: str
    classes: npt.NDArray[np.int64]
    labels: tuple[str, ...]
    colours: tuple[str, ...]

    @property
    def fills(self) -> list[str]:
        """The fill of each zone: a pattern of this page."""
        return [f"url(#{self.name}-{each if each >= 0 else 'none'})" for each in self.classes]

    @property
    def unknown(self) -> str:
        """What zones without a class are called; empty when there are none."""
        if (self.classes >= 0).all():
            return ""
        return word("theme.unplanned" if self.name == "work" else "theme.unknown")


def themes(zones: gpd.GeoDataFrame, units: str = "metric") -> list[Theme]:
    """Return the themes for which at least one zone has a class; moss first."""
    # A table that no plan was made of has only what was seen.
    sun = "sun_used_h" if "sun_used_h" in zones.columns else "sun_hours_seen"
    found = [
        _measured("moss", zones, "moss_cover_pct", "moss_rating", bands("moss"), "%", units),
        _measured("thatch", zones, "thatch_mm", "thatch_rating", bands("thatch"), "mm", units),
        _measured("sun", zones, sun, "", SUN_H, "h", units),
        _work(zones),
    ]
    return [theme for theme in found if (theme.classes >= 0).any()]


def _measured(  # noqa: PLR0917 - one line a theme above reads as the table it is
    name: str,
    zones: gpd.GeoDataFrame,
    measured: str,
    rated: str,
    edges: Bands,
    unit: str,
    units: str,
) -> Theme:
    """Return a theme whose classes are bands; a measurement or cores beat a rating."""
    values, seen = _column(zones, measured), _column(zones, rated)
    if f"{name}_from" in zones.columns:
        rests_on = zones[f"{name}_from"].to_numpy(dtype=object)
        suffix = measured.rpartition("_")[-1]
        ends = [_column(zones, f"{name}_{end}_{suffix}") for end in ("low", "high")]
        values = np.where((rests_on == "cores") & np.isnan(values), np.mean(ends, axis=0), values)
        seen = np.where(rests_on == "", np.nan, seen)  # a class that the turf type makes void
    found = rating(values, edges)
    classes = np.where(np.isnan(found), seen, found)
    places = np.where(np.isnan(classes), -1, classes).clip(-1, len(edges) - 1).astype(np.int64)
    labels = tuple(band_label(lower, upper, unit, units) for lower, upper in edges)
    return Theme(name, places, labels, PALETTES[name])


def _column(zones: gpd.GeoDataFrame, name: str) -> npt.NDArray[np.float64]:
    if name not in zones.columns:
        return np.full(len(zones), np.nan)
    return np.asarray(pd.to_numeric(zones[name], errors="coerce"), dtype=float)


def _work(zones: gpd.GeoDataFrame) -> Theme:
    verdicts = [text(each) for each in zones.get("verdict", pd.Series([""] * len(zones)))]
    classes = [WORK.index(each) if each in WORK else -1 for each in verdicts]
    labels = tuple(known("verdict", each) for each in WORK)
    return Theme("work", np.array(classes, dtype=np.int64), labels, PALETTES["work"])
