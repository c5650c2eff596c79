"""DXF drawings, read by ezdxf in the guarded child."""

from __future__ import annotations

from dataclasses import replace
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any

from lawnmap.errors import ExtraNeeded
from lawnmap.files import child
from lawnmap.found import Layer
from lawnmap.geometry.local import UNITS_M
from lawnmap.readers import crs as reference_system
from lawnmap.readers.dxf import units as dxf_units
from lawnmap.readers.gathering import Gathering
from lawnmap.readers.net import netted

if TYPE_CHECKING:
    from lawnmap.files.admit import Source
    from lawnmap.found import Found

TITLE = "DXF drawing"
KINDS = ("dxf",)
CHILD = True

FILE = "plan.dxf"


@netted
def look(source: Source) -> list[Layer]:
    """List the layers that hold outlines, lines or points, with areas where the unit is known."""
    return [
        Layer(str(name), int(count), tuple(map(str, kinds)), None if area is None else float(area))
        for name, count, kinds, area in _ask("layers", source)
    ]


@netted
def read(
    source: Source,
    *,
    layer: str | None = None,
    crs: str | None = None,
    units: str | None = None,
) -> Found:
    """Return the outlines, open lines and points of one layer, in the units of the drawing.

    Raises
    ------
    ExtraNeeded
        When ezdxf is not installed.
    InputRefused
        For a drawing that is damaged or too large, and when its unit is in doubt and not given.
    """
    unit = dxf_units.checked(units)
    said_m = None if unit is None else UNITS_M[unit]
    told = _ask("features", source, layer=layer, said_m=said_m)
    own = crs if told["crs"] is None else reference_system.agreed(str(told["crs"]), crs)
    gathering = Gathering(lonlat=False)
    gathering.warnings += map(str, told["warnings"])
    for geometry, properties, place in told["features"]:
        gathering.add([geometry], properties, str(place))
    unit_m = None if told["unit_m"] is None else float(told["unit_m"])
    return replace(gathering.found(own), local=own is None, unit_m=unit_m)


def _ask(question: str, source: Source, **arguments: Any) -> Any:
    if find_spec("ezdxf") is None:
        raise ExtraNeeded(
            "DXF drawings are read by the package ezdxf, which is not installed",
            remedy="Install it: pip install 'lawnmap[cad]'.",
        )
    return child.run(
        f"lawnmap.readers.dxf.told:{question}",
        {FILE: source.data},
        {"file": FILE, **arguments},
    )
