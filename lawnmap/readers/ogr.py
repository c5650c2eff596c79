"""GDAL at arm's length: GeoPackage, shapefile, FlatGeobuf; in the guarded child, by one driver.

GDAL chooses a driver by content, and many of its drivers open the file or the address that a file
names. So every driver but the one needed is switched off before GDAL starts, and the child makes
sure of it before it opens anything.
"""

from __future__ import annotations

import os
import re
import warnings
from typing import TYPE_CHECKING, Any

import pyogrio
import pyogrio.errors

from lawnmap.errors import InputRefused, LawnmapError
from lawnmap.files import child
from lawnmap.files.limits import SITE
from lawnmap.found import Layer
from lawnmap.readers import gpkg_schema, handover
from lawnmap.readers.authority import stated
from lawnmap.readers.layers import choose

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

TEXT = {"OFTString", "OFTDate", "OFTTime", "OFTDateTime"}
WHOLE = {"OFTInteger", "OFTInteger64"}
# What the names of GDAL's geometry types have before and after the kind, such as "Polygon Z".
DIMENSIONS = re.compile(r"^(?:2\.5D|3D Measured|Measured) | (?:Z|M|ZM)$")
CURVES = {"CIRCULARSTRING", "COMPOUNDCURVE", "CURVEPOLYGON", "MULTICURVE", "MULTISURFACE"}
# Chords of 1° leave out 0.005 % of a circle's area, 1 - sin(x)/x; GDAL's own 4° leave out 0.08 %.
ARC_DEG = "1"
MOST_REMARKS = 5
# What pyogrio imports where it is there, in half of the time that a child takes, for what we never
# ask of it.
NEEDLESS = ("geopandas", "pandas", "pyarrow")
CPU_S = 8  # five times what the largest plan takes that is admitted; a view need have no end
REFUSALS = (
    pyogrio.errors.CRSError,
    pyogrio.errors.DataLayerError,
    pyogrio.errors.DataSourceError,
    pyogrio.errors.FeatureError,
    pyogrio.errors.FieldError,
    pyogrio.errors.GeometryError,
)


def ask(question: str, files: Mapping[str, bytes], *, driver: str, layer: str | None = None) -> Any:
    """Put a question to GDAL in a guarded child.

    Parameters
    ----------
    question : str
        ``layers`` or ``features``, functions of this module.
    files : mapping of str to bytes
        The plan and its sister files; the first one is opened.
    driver : str
        GDAL's name of the one driver that may open it.
    layer : str, optional
        The layer chosen.
    """
    return child.run(
        f"lawnmap.readers.ogr:{question}",
        files,
        {"file": next(iter(files)), "driver": driver, "layer": layer},
        cpu_s=CPU_S,
        environment=environment(driver),
        without=NEEDLESS,
    )


def environment(driver: str) -> dict[str, str]:
    """Return the variables under which a fresh GDAL has the one driver only."""
    return {
        "OGR_SKIP": ",".join(sorted(drivers() - {driver})),
        "OGR_ARC_STEPSIZE": ARC_DEG,
        **gpkg_schema.ENVIRONMENT,
    }


def drivers() -> set[str]:
    """Return every driver a fresh GDAL would have, those switched off for us included."""
    found = set(pyogrio.list_drivers())
    for name in ("GDAL_SKIP", "OGR_SKIP"):
        text = os.environ.get(name, "")
        found.update({text, *text.split("," if "," in text else " ")})
    return found - {""}


# Inside the child --------------------------------------------------------------------------------


def layers(*, file: str, driver: str, layer: str | None) -> list[tuple[str, int, tuple[str, ...]]]:
    """List the layers that can hold shapes: name, count, kinds."""
    del layer
    make_sure(file, driver)
    return [(each.name, each.count, each.kinds) for each in _listed(file)]


def features(*, file: str, driver: str, layer: str | None) -> dict[str, Any]:
    """Return one layer, packed for handing over."""
    make_sure(file, driver)
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        chosen = choose(_listed(file), layer)
        if chosen.count > SITE.zones:
            raise InputRefused(
                f"holds more than {SITE.zones:,} features",
                remedy="Cut the plan down to the site, or split it.",
            )
        meta, shapes, columns = _read(file, chosen.name)
    rows, remarks = _rows(meta, columns, len(shapes))
    crs, said = stated(meta["crs"]) if meta["crs"] else (None, [])
    if _has_curves(file, chosen.name):
        said.append(f"Arcs in it are taken as chords of {ARC_DEG}° each.")
    if file.endswith(".fgb") and len(shapes) != chosen.count:  # a file cut short between features
        said.append(f"It says that it holds {chosen.count} features, and holds {len(shapes)}.")
    heard = dict.fromkeys(f"GDAL says: {str(each.message)[:200].rstrip('.')}." for each in caught)
    return handover.pack(
        shapes, rows, crs=crs, warnings=[*said, *remarks, *list(heard)[:MOST_REMARKS]]
    )


def make_sure(file: str, driver: str) -> None:
    """Check that GDAL has the one driver only, and that the file brings no reader of others."""
    others = set(pyogrio.list_drivers()) - {driver}
    if others:
        raise LawnmapError(f"GDAL drivers could not be switched off: {', '.join(sorted(others))}")
    if file.endswith(".gpkg"):
        gpkg_schema.refuse_virtual_tables(file)


def _listed(file: str) -> list[Layer]:
    """Return the layers with a geometry column; tables of attributes alone are left out."""
    found = told(pyogrio.list_layers, file)
    return [
        Layer(name, _count(file, name), _kinds(kind)) for name, kind in found if kind is not None
    ]


def _kinds(kind: str) -> tuple[str, ...]:
    return () if kind == "Unknown" else (DIMENSIONS.sub("", kind),)


def _count(file: str, layer: str) -> int:
    """Count features, but no further than one more than are admitted: a view may have no end."""
    if not file.endswith(".gpkg"):  # the others know no such SQL, and have no views
        return int(told(pyogrio.read_info, file, force_feature_count=True)["features"])
    some = f"SELECT 1 FROM {_quoted(layer)} LIMIT {SITE.zones + 1}"  # noqa: S608  (quoted as SQL has it)
    sql = f"SELECT COUNT(*) AS n FROM ({some})"  # noqa: S608
    columns = told(pyogrio.raw.read, file, sql=sql, read_geometry=False)[3]
    return int(columns[0][0])


def _has_curves(file: str, layer: str) -> bool:
    """Ask what is in a layer; what pyogrio hands over is straight by then."""
    if file.endswith(".shp"):
        return False
    if not file.endswith(".gpkg"):
        curves = ", ".join(f"'{kind}'" for kind in sorted(CURVES))
        some = f"OGR_GEOMETRY IN ({curves})"
        return len(told(pyogrio.raw.read, file, where=some, columns=[], max_features=1)[2]) > 0
    column = told(pyogrio.read_info, file, layer=layer)["geometry_name"] or "geom"
    sql = f"SELECT DISTINCT ST_GeometryType({_quoted(column)}) AS kind FROM {_quoted(layer)}"  # noqa: S608  (quoted as SQL has it)
    kinds = told(pyogrio.raw.read, file, sql=sql, read_geometry=False)[3][0]
    return bool(CURVES.intersection(kinds))


def _quoted(name: str) -> str:
    """Return a name as SQL has it."""
    return '"' + name.replace('"', '""') + '"'


def _read(file: str, layer: str) -> tuple[dict[str, Any], Any, list[Any]]:
    # The filter that lets everything through makes GDAL count; without it the file is believed,
    # and features beyond the number it states are left out in silence.
    meta, _, shapes, columns = told(
        pyogrio.raw.read, file, layer=layer, where="1=1", datetime_as_string=True
    )
    return meta, shapes, columns


def told(function: Callable[..., Any], *arguments: Any, **options: Any) -> Any:
    """Call GDAL and put its refusals into our form."""
    try:
        return function(*arguments, **options)
    except UnicodeDecodeError as error:
        raise InputRefused(
            f"holds text that is not in its own encoding ({error.encoding})",
            remedy="Export the plan again with its text in UTF-8.",
        ) from error
    except UnboundLocalError as error:  # how pyogrio 0.13 meets a CRS that GDAL cannot spell out
        raise InputRefused(
            "names a CRS that cannot be read",
            remedy="Leave the .prj out and give --crs, or export the plan again.",
        ) from error
    except REFUSALS as error:
        raise InputRefused(
            f"could not be read ({str(error)[:200]})",
            remedy="Export the plan again, or save it in another format.",
        ) from error


def _rows(
    meta: Mapping[str, Any], columns: list[Any], count: int
) -> tuple[Iterable[dict[str, Any]], list[str]]:
    """Return attributes feature by feature, and which columns had to be left out."""
    kept: dict[str, list[Any]] = {}
    remarks = []
    kinds = zip(meta["ogr_types"], meta["ogr_subtypes"], strict=True)
    for name, values, (kind, subtype) in zip(meta["fields"], columns, kinds, strict=True):
        plain = _converter(kind, subtype)
        if plain is None:
            remarks.append(f'The column "{name}" holds no text or numbers, and was left out.')
        elif name in kept:
            raise InputRefused(
                f"two columns are called {name[:40]!r}", remedy="Rename one of them."
            )
        else:
            kept[name] = [None if _missing(each) else plain(each) for each in values]
    rows = (dict(zip(kept, row, strict=True)) for row in zip(*kept.values(), strict=True))
    return (rows if kept else ({} for _ in range(count))), remarks


def _converter(kind: str, subtype: str) -> Callable[[Any], Any] | None:
    if kind in TEXT:
        return str
    if kind in WHOLE:
        return bool if subtype == "OFSTBoolean" else int
    if kind == "OFTReal":
        # A single-precision 0.1 is 0.1, not 0.10000000149: its own shortest text says so.
        return lambda value: float(str(value))
    return None


def _missing(value: Any) -> bool:
    """Tell what stands for "no value" in any kind of column, infinities too, which JSON lacks."""
    return value is None or value != value or value in {float("inf"), float("-inf")}  # noqa: PLR0124
