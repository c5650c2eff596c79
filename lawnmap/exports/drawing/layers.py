"""Worked-out layers of a plan, parted and named as the visitor of the map switches them."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely

from lawnmap.exports.drawing.grid_image import SCALES, GridImage, Step, image, key
from lawnmap.exports.wording.amounts import missing, quantity, text
from lawnmap.geometry.frame import Frame
from lawnmap.grids import GridMap
from lawnmap.pages.words import known, word

Shapes = npt.NDArray[np.object_]
Values = Mapping[str, tuple[str, ...]]  # by column

UNSEEN_M = 0.02  # by which a worked-out edge may be drawn plainer
BOUTS, LOADS = "bouts", "load_areas"
POINT = 0  # what GEOS counts it as
SETTING_OUT = "setting_out"  # the view of zones without colour and where to go on them
NOT_DRAWN = ("lawn", "treatable")  # the zones, less what is kept clear, show them


class Kind(NamedTuple):
    """How one layer is parted and shown.

    Attributes
    ----------
    by : tuple of str
        Columns whose values part the layer; they are named in its wording.
    look : str
        Of these the column whose value chooses the look; empty for one look for all.
    shown : dict of str to tuple of str, or None
        Which parts are shown when the page opens; empty is every part, None is none.
    mark : str
        Column whose value stands on each shape; empty for none.
    viewed : dict of str to tuple of str, or None
        Which parts come with the view of what is set out on the ground, as for ``shown``.
    """

    by: tuple[str, ...] = ()
    look: str = ""
    shown: Values | None = None
    mark: str = ""
    viewed: Values | None = None


KINDS: dict[str, Kind] = {
    "kept_clear": Kind(("kind", "strip"), look="strip", shown={"kind": ("spray", "granules")}),
    "bouts": Kind(("operation", "pass"), look="pass", viewed={"operation": ("scarifying",)}),
    "load_areas": Kind(("operation",), mark="load"),
    "refills": Kind(viewed={}),
    "core_places": Kind(mark="number"),
    "walk": Kind(),
}
UNKNOWN = Kind(shown={})


class Mark(NamedTuple):
    """A short word at a place of a layer [m], and how far from there the edge of its ground is.

    Without ground round it a mark has as much room as it needs; ``more`` stands there too where
    there is plenty.
    """

    east: float
    north: float
    text: str
    room_m: float | None = None
    more: str = ""


class Layer(NamedTuple):
    """One thing the visitor switches: its wording, its look, its shapes [m] and marks.

    ``look`` is a key of ``symbols.LAYERS``. What is ``shown`` is on when the page opens, and stands
    on the still plan; the others come with the ``view`` that is named, or when they are asked for.
    A layer of pictures has a key to their colours.
    """

    label: str
    look: str
    shown: bool
    shapes: Sequence[shapely.Geometry] = ()
    marks: Sequence[Mark] = ()
    view: str = ""
    images: Sequence[GridImage] = ()
    key: Sequence[Step] = ()


def layers(
    found: Mapping[str, gpd.GeoDataFrame], frame: Frame, units: str = "metric"
) -> tuple[Layer, ...]:
    """Return the layers of a plan that have any extent, in the order of KINDS.

    Parameters
    ----------
    found : mapping of str to GeoDataFrame
        ``Plan.layers``; one whose name stands in KINDS may lack columns that its reader may not
        see, and is then parted by those that are left.
    frame : Frame
    """
    order = [*(name for name in KINDS if name in found), *(x for x in found if x not in KINDS)]
    drawn = [each for each in order if each not in NOT_DRAWN]
    return tuple(
        layer
        for name in drawn
        for layer in _parts(str(name), _with_more(str(name), found[name], units), frame)
    )


def _with_more(name: str, table: gpd.GeoDataFrame, units: str) -> gpd.GeoDataFrame:
    """Return the ground of loads with what goes into each, in words."""
    if name != LOADS or not {"amount", "unit", "water_l"} <= set(table.columns):
        return table
    said = [
        ", ".join(
            quantity(float(each), of, units)
            for each, of in ((amount, unit), (water, "l"))
            if not missing(each)
        )
        for amount, unit, water in zip(
            table["amount"], table["unit"], table["water_l"], strict=True
        )
    ]
    return table.assign(more=said)


def of_grids(grids: Mapping[str, Sequence[GridMap]], units: str = "metric") -> tuple[Layer, ...]:
    """Return each figure that lies on grids as one layer of pictures, with a key."""
    return tuple(
        Layer(
            word(f"layer.{name}"),
            name,
            shown=False,
            view=name,
            images=[image(each, SCALES[name]) for each in maps],
            key=key(maps, SCALES[name], units),
        )
        for name, maps in grids.items()
        if maps
    )


def _parts(name: str, table: gpd.GeoDataFrame, frame: Frame) -> Iterator[Layer]:
    kind = KINDS.get(name, UNKNOWN)
    shapes = np.asarray(table.geometry.array, dtype=object)
    seen = table[~(shapely.is_missing(shapes) | shapely.is_empty(shapes))]
    by = [column for column in kind.by if column in seen.columns]
    groups = seen.groupby(by) if by else [((), seen)]
    for values, rows in groups:
        if len(rows):
            yield _layer(name, kind, dict(zip(by, _words(values), strict=True)), rows, frame)


def _words(values: Hashable) -> list[str]:
    several = values if isinstance(values, tuple) else (values,)
    return [f"{each:g}" if isinstance(each, float) else str(each) for each in several]


def _layer(
    name: str, kind: Kind, values: Mapping[str, str], rows: gpd.GeoDataFrame, frame: Frame
) -> Layer:
    flat = frame.flat(np.asarray(rows.geometry.array, dtype=object))
    base = name if name in KINDS else "layer"
    return Layer(
        label=_label(name, values),
        look=" ".join([base, *([values[kind.look]] if kind.look in values else [])]),
        shown=_chosen(kind.shown, values),
        view=SETTING_OUT if _chosen(kind.viewed, values) else "",
        shapes=list(shapely.simplify(flat, UNSEEN_M)),
        marks=_marks(name, kind, rows, flat),
    )


def _chosen(wanted: Values | None, values: Mapping[str, str]) -> bool:
    return wanted is not None and all(
        column not in values or values[column] in some for column, some in wanted.items()
    )


def _label(name: str, values: Mapping[str, str]) -> str:
    """Return a layer's wording: the one for just these values, else the layer's own and them."""
    whole = known("layer", " ".join([name, *values.values()]))
    own = " ".join([name, *values.values()]).replace("_", " ")
    if not values or whole != own:
        return whole
    parts = ", ".join(known(column, value) for column, value in values.items())
    return word("layer.parted", layer=known("layer", name), parts=parts)


def _marks(name: str, kind: Kind, rows: pd.DataFrame, flat: Shapes) -> list[Mark]:
    """Return what stands on the shapes; a point nobody marks is marked by its layer's letter."""
    if name == BOUTS:
        return _starts(rows, flat)
    if kind.mark in rows.columns:
        said = [f"{each:g}" if isinstance(each, float) else text(each) for each in rows[kind.mark]]
    else:
        point = shapely.get_type_id(flat) == POINT
        said = [known("letter", name)[:1].upper() if each else "" for each in point]
    inside = shapely.point_on_surface(flat)
    room = shapely.distance(inside, shapely.boundary(flat))  # NaN for points, which have no edge
    more = rows["more"] if "more" in rows.columns else [""] * len(rows)
    return [
        Mark(place.x, place.y, each, None if np.isnan(edge) else round(float(edge), 2), beside)
        for each, place, edge, beside in zip(said, inside, room, more, strict=True)
        if each
    ]


def _starts(rows: pd.DataFrame, flat: Shapes) -> list[Mark]:
    """Return where in each zone the first bout between headlands begins."""
    first = (rows["part"] == "bout") & (rows["number"] == 1)
    first &= ~rows.where(first)["zone_id"].duplicated()
    marks = []
    for line, which in zip(flat[first.to_numpy()], rows["pass"][first], strict=True):
        east, north = shapely.get_coordinates(line)[0]
        marks.append(Mark(float(east), float(north), word("layer.start", number=f"{which:g}")))
    return marks
