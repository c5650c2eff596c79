"""Pictures of a plan: PNG, JPEG and TIFF, looked at by Pillow in the guarded child.

The header alone is read here. Where the picture lies is said by a GeoTIFF's tags, else by a world
file beside it; a plain scan says nothing, and is placed by control points.
"""

from __future__ import annotations

from importlib.util import find_spec
from typing import Any, NamedTuple

from lawnmap.errors import ExtraNeeded, InputRefused
from lawnmap.files import child
from lawnmap.files.admit import SISTERS, Source
from lawnmap.found import Found, Layer, Picture
from lawnmap.geometry.grid import Grid, upright
from lawnmap.readers import crs as reference_system
from lawnmap.readers import height_grid
from lawnmap.readers.layers import choose
from lawnmap.readers.net import netted
from lawnmap.readers.picture.found import stem
from lawnmap.readers.picture.world import world_file

TITLE = "Picture of a plan (PNG, JPEG, TIFF)"
KINDS = ("png", "jpeg", "tiff")
CHILD = True

HEIGHTS = "lawnmap.readers.height_grid"
SIDEWAYS = 5  # of orientations: from here on width and height change places


class _Header(NamedTuple):
    """A picture's header, upright, with the place it is at."""

    width: int
    height: int
    heights: bool
    grid: Grid | None
    crs: str | None
    warnings: list[str]


@netted
def look(source: Source) -> list[Layer]:
    """List the one layer that a picture is: a picture, or a grid of heights."""
    return [_layer(_header(source))]


@netted
def read(
    source: Source,
    *,
    layer: str | None = None,
    crs: str | None = None,
    units: str | None = None,  # noqa: ARG001 - every reader takes it; here the CRS says it
) -> Found:
    """Return a picture with what its header says, or the heights in it.

    Raises
    ------
    ExtraNeeded
        When Pillow is not installed.
    InputRefused
        For a picture that is too large or damaged, and for a world file that cannot be.
    """
    header = _header(source)
    choose([_layer(header)], layer)
    own = header.crs
    if own is not None:
        own = reference_system.agreed(own, crs)
    elif crs is not None:
        own = crs
        header.warnings.append(f"The picture names no CRS; {crs} was taken, as --crs says.")
    if header.heights:
        return _heights(source, header, own)
    picture = Picture(
        data=source.data,
        kind=source.kind,
        width=header.width,
        height=header.height,
        grid=header.grid,
        name=stem(source),
    )
    return Found((), own, tuple(header.warnings), picture=picture)


def _layer(header: _Header) -> Layer:
    if header.heights:
        return Layer("heights", header.width * header.height, ("Grid",))
    return Layer("picture", 1, ("Picture",))


def _header(source: Source) -> _Header:
    need_pillow()
    files = {f"plan.{source.kind}": source.data}
    arguments = {"file": f"plan.{source.kind}", "kind": source.kind}
    if ".prj" in source.parts:
        files["plan.prj"] = source.parts[".prj"]
        arguments["prj"] = "plan.prj"
    told = child.run("lawnmap.readers.picture.header:header", files, arguments)
    warnings = [str(each) for each in told["warnings"]]
    grid = _grid(source, told["grid"], warnings)
    width, height = int(told["width"]), int(told["height"])
    held = int(told["orientation"])
    if grid is not None:
        grid = grid.after(upright(held, width, height))
        if grid.mirrored:
            warnings.append("The picture lies face down, as it says: check where it came from.")
    if held >= SIDEWAYS:
        width, height = height, width
    crs = _crs(told, warnings)
    return _Header(width, height, bool(told["heights"]), grid, crs, warnings)


def need_pillow() -> None:
    """Raise ExtraNeeded when Pillow is not installed."""
    if find_spec("PIL") is None:
        raise ExtraNeeded(
            "pictures are read by the package Pillow, which is not installed",
            remedy="Install it: pip install 'lawnmap[pictures]'.",
        )


def _grid(source: Source, tagged: list[float] | None, warnings: list[str]) -> Grid | None:
    """Return the grid of the tags, else that of the first world file beside the picture."""
    own = Grid(*map(float, tagged)) if tagged else None
    beside = [each for each in SISTERS[source.kind] if each != ".prj" and each in source.parts]
    if not beside:
        return own
    if own is not None:
        warnings.append(
            f"The picture's own tags say where it lies; the {beside[0]} beside it was not used."
        )
        return own
    return world_file(source.parts[beside[0]], stem(source) + beside[0])


def _crs(told: dict[str, Any], warnings: list[str]) -> str | None:
    """Return the CRS of the tags, else of the file beside the picture, where it is known."""
    spelt = told["crs"] or told["prj"]
    if spelt is None:
        return None
    own = str(spelt)
    try:
        if reference_system.NAME.fullmatch(own):
            own = reference_system.named(own)
        unit = _unit(own)
    except InputRefused as error:
        warnings.append(
            f"What the picture says of its CRS is not used: {error.problem}. Ask whoever made it "
            "and give --crs."
        )
        return None
    if told["unit"] and unit in {"metre", "degree"}:
        warnings.append(
            f"The picture's tags speak of {told['unit']}, and {own} is in {unit}s: check the size."
        )
    return own


def _unit(crs: str) -> str:
    from lawnmap.geometry.crs import known

    return str(known(crs).axis_info[0].unit_name)


def _heights(source: Source, header: _Header, crs: str | None) -> Found:
    """Return the heights that another reader takes from the grid."""
    if header.grid is None:
        raise InputRefused(
            "is a grid of heights that does not say where it lies",
            remedy="Ask for it as a GeoTIFF, or with its world file.",
        )
    file = f"plan.{source.kind}"
    grid = list(header.grid)
    told = child.run(f"{HEIGHTS}:read", {file: source.data}, {"file": file, "grid": grid})
    warnings = (*header.warnings, *map(str, told["warnings"]))
    return Found((), crs, warnings, heights=height_grid.unpack(told, grid))
