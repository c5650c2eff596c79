"""The bulk door: a table of zones, or of what else is mapped, read in batches of whole sites.

Memory is bounded: a batch, what the library behind it holds ahead, and eight bytes a row.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from lawnmap.errors import CRSNeeded, InputRefused, LawnmapError, UsageProblem
from lawnmap.files.admit import is_address, refuse_address
from lawnmap.files.limits import BULK
from lawnmap.geometry import crs as reference_system
from lawnmap.jobs.sites.door import address, order
from lawnmap.jobs.sites.door.batch import Batch, Origin, made
from lawnmap.jobs.sites.door.columns import Columns, check_needed
from lawnmap.jobs.sites.door.content import ZONES, Content
from lawnmap.jobs.sites.door.lines import BOM, RECORD, Lines
from lawnmap.jobs.sites.door.source import Guarded, Look, Source
from lawnmap.readers import crs as named

BATCH = 10_000
GEOJSON = "geojson lines"
MAGIC = ((b"SQLite format 3\0", "gpkg"), (b"PAR1", "parquet"), (b"fgb\x03fgb", "fgb"))
KINDS = {
    ".gpkg": "gpkg",
    ".parquet": "parquet",
    ".geoparquet": "parquet",
    ".fgb": "fgb",
    ".geojsonl": GEOJSON,
    ".geojsons": GEOJSON,
    ".ndjson": GEOJSON,
    ".jsonl": GEOJSON,
}
HEAD = 64
ONLY = "GeoParquet, GeoPackage, FlatGeobuf, and GeoJSON with one feature a line are read."


@dataclass(frozen=True, eq=False)
class Table:
    """A table of zones or features, its names read.

    Attributes
    ----------
    name : str
        Of the file without its folder, or the address without user and password.
    kind : str
        ``parquet``, ``gpkg``, ``fgb`` or ``geojson lines``, or the scheme of an address.
    count : int
        Number of rows.
    sites : int
        Number of different sites, as far as they are named.
    columns : Columns
        Which of the file's columns are used for ours, and which are left out.
    crs : str
        That the coordinates are in, as authority and code, or WKT.
    remarks : tuple of str
        What a person should know, each a whole sentence.
    grouped : bool
        Whether the rows of each site stand together.
    """

    name: str
    kind: str
    count: int
    sites: int
    columns: Columns
    crs: str
    remarks: tuple[str, ...]
    grouped: bool
    origin: Origin = field(repr=False)


def opened(
    path: Path | str,
    *,
    layer: str | None = None,
    rename: Mapping[str, str] | None = None,
    crs: str | None = None,
    content: Content = ZONES,
) -> Table:
    """Open a table, and read the names of all its rows and sites.

    Parameters
    ----------
    path : Path or str
        A GeoParquet, GeoPackage, FlatGeobuf or line-delimited GeoJSON file; or the address of a
        table for which a plugin is installed.
    layer : str, optional
        Of a GeoPackage or a database with several.
    rename : mapping of str to str, optional
        The file's name for a column of ours: ``{"moss_rating": "MOSS_CLASS"}``.
    crs : str, optional
        Of a file that does not say.
    content : Content
        What the rows are: zones, or what else is mapped on their sites.

    Returns
    -------
    Table

    Raises
    ------
    InputRefused
        For a file of another kind, one that cannot be read, a column that cannot be what it is
        called; :class:`CRSNeeded`, :class:`LayerNeeded` when one was not said.
    """
    text = str(path)
    if address.plugin(text) is None:
        refuse_address(text)
    name = address.shown(text) if is_address(text) else Path(path).name
    try:
        kind, source = _found(text, layer, dict(rename or {}), content)
        look, hashes = source.keys()
        _check_count(len(hashes), look)
        check_needed(look.columns, content)
        system, remarks = _system(kind, look, crs)
    except Exception as error:  # noqa: BLE001  (the outer net of whatever libraries meet in it)
        raise _told(error, name) from (error.__cause__ or error)
    return Table(
        name=name,
        kind=kind,
        count=len(hashes),
        sites=len(np.unique(hashes)),
        columns=look.columns,
        crs=system,
        remarks=(*look.remarks, *remarks),
        grouped=order.grouped(hashes),
        origin=Origin(source, look, system, hashes),
    )


def batches(table: Table, size: int = BATCH, *, scratch: Path | None = None) -> Iterator[Batch]:
    """Yield the rows of a table in batches of whole sites.

    Parameters
    ----------
    table : Table
    size : int
        The most rows of a batch, unless one site has more.
    scratch : Path, optional
        A folder for the rows of a table in which those of a site do not stand together: they are
        sorted there, and take as much room as the file. The system's own by default.

    Raises
    ------
    InputRefused
        When the file cannot be read to its end, or was changed meanwhile.
    UsageProblem
        For a size below 1.
    """
    if size < 1:
        raise UsageProblem("a batch holds one row at least", remedy="Give a larger size.")
    origin = table.origin
    try:
        stream = origin.source.stream()
        pieces = (
            order.in_order(stream, origin.hashes, size)
            if table.grouped
            else order.dealt(stream, origin.hashes, size, scratch)
        )
        for number, piece in enumerate(pieces, 1):
            yield made(number, piece, origin)
    except Exception as error:  # noqa: BLE001  (the outer net of whatever libraries meet in it)
        raise _told(error, table.name) from (error.__cause__ or error)


def _told(error: Exception, name: str) -> LawnmapError:
    """Return an error with its file; what nobody foresaw becomes one plain refusal."""
    if isinstance(error, LawnmapError):
        return error.within(file=name)
    return InputRefused(
        f"could not be read ({type(error).__name__})",
        file=name,
        remedy="Export the table again, or save it in another format.",
    )


def _found(
    text: str, layer: str | None, rename: Mapping[str, str], content: Content
) -> tuple[str, Source]:
    """Return the kind of a table, and the table, from a path or an address."""
    plugin = address.plugin(text)
    if plugin is not None:
        _refuse_features(content)
        return address.scheme(text), plugin.source(text, layer=layer, rename=rename)
    kind = _kind(Path(text))
    return kind, _source(Path(text), kind, layer, rename, content)


def _refuse_features(content: Content) -> None:
    if content is not ZONES:
        raise InputRefused(
            f"is an address, and a table of {content.table} must be a file", remedy=ONLY
        )


def _kind(path: Path) -> str:
    """Return the kind of a file by its content, having checked its suffix and size."""
    head = _head(path)
    found = next((kind for magic, kind in MAGIC if head.startswith(magic)), "")
    if not found and head.removeprefix(BOM).lstrip().startswith((b"{", b"[", RECORD)):
        found = GEOJSON
    promised = KINDS.get(path.suffix.lower(), "")
    if not found or (promised and promised != found):
        raise InputRefused(
            f"is named {path.suffix} but its content is not that" if promised else "is no table",
            remedy=f"{ONLY} One site plan is read by lawnmap read.",
        )
    return found


def _refuse_open(path: Path) -> None:
    """Refuse a GeoPackage with changes beside it, which nothing has checked."""
    real = path.resolve()
    for suffix in ("-wal", "-journal"):
        beside = real.with_name(real.name + suffix)
        if beside.is_file() and beside.stat().st_size:
            raise InputRefused(
                f"has changes that are not in it yet ({beside.name})",
                remedy="Close it in the program that has it open, and try again.",
            )


def _head(path: Path) -> bytes:
    """Return the first bytes of an ordinary file of an admitted size."""
    try:
        facts = path.stat()
        if not stat.S_ISREG(facts.st_mode):
            raise InputRefused("is not an ordinary file", remedy="Give a file on disk.")
        if facts.st_size > BULK.file_bytes:
            raise InputRefused(
                f"is larger than {BULK.file_bytes / 1e9:.0f} GB",
                remedy="Split it between sites, and read the parts one after the other.",
            )
        if not facts.st_size:
            raise InputRefused("is empty (0 bytes)", remedy="Export it again.")
        with path.open("rb") as stream:
            return stream.read(HEAD)
    except OSError as error:
        raise InputRefused(
            f"cannot be opened ({os.strerror(error.errno or 0)})", remedy="Check the path."
        ) from error


def _source(
    path: Path, kind: str, layer: str | None, rename: Mapping[str, str], content: Content
) -> Source:
    if kind == "gpkg":
        _refuse_open(path)
    if kind != GEOJSON:
        return Guarded(path, kind, layer, rename, content)
    if layer is not None:
        raise InputRefused("has no layers", remedy="Leave --layer out.")
    return Lines(path, rename, content)


def _check_count(many: int, look: Look) -> None:
    if look.stated is not None and many != look.stated:
        raise InputRefused(
            f"should hold {look.stated:,} features, and {many:,} can be read",
            remedy="It was cut short or is damaged: copy or export it again.",
        )
    if not many:
        raise InputRefused("holds no features", remedy="Check that it was saved whole.")


def _system(kind: str, look: Look, asked: str | None) -> tuple[str, list[str]]:
    """Return the CRS of a table, and what to say about it."""
    if look.crs is not None:
        own = named.named(look.crs) if named.NAME.fullmatch(look.crs) else look.crs
        system, said = named.agreed(own, asked), []
    elif asked is not None:
        system, said = asked, [f"The file names no CRS; {asked} was taken, as --crs says."]
    elif kind == GEOJSON:
        return named.LONLAT, []
    else:
        raise CRSNeeded(
            "the file does not say which CRS its coordinates are in",
            remedy="Ask who made it and give --crs (such as EPSG:27700).",
        )
    if named.same(system, named.LONLAT):
        return named.LONLAT, said
    if reference_system.uncertain_by_metres(system):
        said.append(
            f"{reference_system.known(system).name} was shifted without its grid file: positions "
            "may be some metres off the true map; areas hardly change (under 0.01 %)."
        )
    return system, said
