"""What a reader gathers from one layer: sound features, and what a person should know."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from lawnmap.errors import InputRefused
from lawnmap.files.limits import SITE
from lawnmap.found import Feature, Found
from lawnmap.readers import attributes
from lawnmap.readers.coordinates import Coordinates, together
from lawnmap.readers.crs import is_geographic

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

MOST_PLACES = 5


class Gathering:
    """Features of one layer as they come, each checked; the limits of the door are held here.

    Parameters
    ----------
    lonlat : bool
        Whether positions are longitude and latitude in degrees.
    metres : str
        What to do when such positions look like metres.
    """

    def __init__(self, *, lonlat: bool, metres: str = "") -> None:
        self.coordinates = Coordinates(lonlat=lonlat, metres=metres)
        self.features: list[Feature] = []
        self.warnings: list[str] = []
        self._notes: dict[str, list[str]] = {}

    def add(
        self,
        geometries: Sequence[dict[str, Any]],
        properties: Mapping[str, Any],
        place: str,
        *,
        labels: Sequence[str] = (),
    ) -> None:
        """Add one feature of the file.

        Parameters
        ----------
        geometries : sequence of dict
            One, none, or those of a collection. Those of one kind become a Multi; of different
            kinds, a feature each.
        properties : mapping
            Its attributes, as JSON values.
        place : str
            Where it stands in the file.
        labels : sequence of str, optional
            What each geometry is called there; else several are numbered.

        Raises
        ------
        InputRefused
            For a position, ring or line that is not sound, or when there are too many.
        """
        if not labels and len(geometries) > 1:
            labels = [f"geometry {number}" for number in range(1, len(geometries) + 1)]
        places = [f"{place}, {label}" for label in labels] or [place]
        checked = map(self.coordinates.checked, geometries, places)
        sound = [geometry for geometry in checked if geometry is not None]
        if not sound:
            self.note("Left out, without a geometry", place)
            return
        plain, changes = self._cleaned(properties, place)
        for change in changes:
            self.note(change, place)
        joined = together(sound)
        if len(joined) > 1:
            self.note("Made into one feature a kind of geometry", place)
        self.features.extend(Feature(geometry, dict(plain), place) for geometry in joined)
        if len(self.features) > SITE.zones:
            raise InputRefused(
                f"holds more than {SITE.zones:,} features",
                remedy="Cut the plan down to the site, or split it.",
            )

    def note(self, change: str, place: str) -> None:
        """Remember that `change` befell the feature at `place`; told once, with the places."""
        self._notes.setdefault(change, []).append(place)

    def warn(self, sentence: str) -> None:
        """Remember one whole sentence."""
        self.warnings.append(sentence)

    def found(self, crs: str | None) -> Found:
        """Return what was gathered.

        Raises
        ------
        InputRefused
            When not one feature has a geometry.
        """
        if not self.features:
            raise InputRefused(
                "no feature in it has a geometry", remedy="Check that the plan was saved whole."
            )
        told = [*self.warnings]
        if self.coordinates.heights:
            told.append("Heights in the file are not used: outlines are kept as seen from above.")
        told += [f"{change}: {_some(places)}." for change, places in self._notes.items()]
        return Found(tuple(self.features), crs, tuple(told))

    def _cleaned(
        self, properties: Mapping[str, Any], place: str
    ) -> tuple[dict[str, Any], list[str]]:
        try:
            return attributes.clean(properties)
        except InputRefused as error:
            raise error.within(place=place) from None


def gathered(found: Found) -> Found:
    """Return what a reader of somebody else found, checked as ours check it.

    Raises
    ------
    InputRefused
        As :meth:`Gathering.add`.
    """
    if found.picture is not None or found.heights is not None:
        return found
    lonlat = found.crs is not None and is_geographic(found.crs)
    gathering = Gathering(lonlat=lonlat, metres="give the CRS with --crs, such as EPSG:27700.")
    for each in found.features:
        gathering.add([each.geometry], each.properties, each.place)
    checked = gathering.found(found.crs)
    return replace(found, features=checked.features, warnings=(*found.warnings, *checked.warnings))


def _some(places: list[str]) -> str:
    """Return the first few places and how many more there are."""
    more = len(places) - MOST_PLACES
    shown = ", ".join(places[:MOST_PLACES])
    return f"{shown} and {more} more" if more > 0 else shown
