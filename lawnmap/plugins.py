"""Find readers, treatments, exports, tables and commands by entry point, and say their shapes.

A plugin is a module (a command is a click command). There is no base class and nothing to call: the
entry point's name is the kind of file, the operation, the output, the scheme of an address or the
command, so choosing one imports nothing else. Built-ins are registered in ``pyproject.toml``
exactly as anyone's are.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cache
from importlib.metadata import EntryPoint, entry_points
from typing import TYPE_CHECKING, Any, Protocol

from lawnmap.errors import LawnmapError, PluginProblem

if TYPE_CHECKING:
    import geopandas as gpd
    import pandas as pd

    from lawnmap.files.admit import Source
    from lawnmap.found import Found, Layer
    from lawnmap.model import Specification
    from lawnmap.paper import Paper

GROUPS = ("readers", "treatments", "exports", "tables", "commands")

# What each kind of plugin module must have; a command is a click command instead.
SHAPES = {
    "readers": ("TITLE", "KINDS", "CHILD", "look", "read"),
    "treatments": ("TITLE", "KIND", "steps"),
    "exports": ("TITLE", "SUFFIX", "AUDIENCE", "render"),
    "tables": ("TITLE", "source", "write"),
    "commands": (),
}

TREATMENT_KINDS = ("hand", "blades", "spray", "granules", "seed", "collection", "water")


class Reader(Protocol):
    """Bytes of a site plan in, features out.

    TITLE names the format; KINDS are the kinds of content it reads (see ``files/kind.py``); CHILD
    says that the library behind it runs in the guarded child process, which the reader starts
    itself (``files.child.run``).
    """

    TITLE: str
    KINDS: tuple[str, ...]
    CHILD: bool

    def look(self, source: Source) -> list[Layer]:
        """List the layers that hold features."""

    def read(
        self,
        source: Source,
        *,
        layer: str | None = None,
        crs: str | None = None,
        units: str | None = None,
    ) -> Found:
        """Return the features of one layer; LayerNeeded when there are several and none chosen."""


class Treatment(Protocol):
    """One trade operation: zones and a specification in, one row a zone × step out.

    KIND is one of TREATMENT_KINDS: it picks strips, pass lines, loads and cautions.
    """

    TITLE: str
    KIND: str

    def steps(self, zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
        """Return rows with the columns of the table ``steps`` in the schema."""


class Export(Protocol):
    """A paper in, bytes out. AUDIENCE is who it is for when nobody is named.

    A page of HTML is handed over with a PDF beside it, unless its module has a ``TWIN`` that is
    False.
    """

    TITLE: str
    SUFFIX: str
    AUDIENCE: str

    def render(self, paper: Paper) -> bytes:
        """Return the whole file."""


class Tables(Protocol):
    """Tables that lie at an address, as in a database; the entry point's name is its scheme.

    TITLE names what lies there. An address may hold a password: no error, note or ``repr`` may.
    """

    TITLE: str

    def source(self, address: str, *, layer: str | None, rename: Mapping[str, str]) -> Any:
        """Return a table of zones as a Source of ``jobs/sites/door/source.py``."""

    def write(
        self, address: str, tables: Mapping[str, Iterable[pd.DataFrame]], *, layer: str | None
    ) -> None:
        """Put tables there, all or none; afterwards each holds these rows and no others.

        Each comes in one frame or more, of the same columns; their index tells the rows apart.
        """


def available(group: str) -> dict[str, list[EntryPoint]]:
    """Return every entry point of one group by name, sorted. Nothing is imported."""
    return _read(entry_points, f"lawnmap.{group}")


@cache
def _read(
    points_of: Callable[..., Iterable[EntryPoint]], group: str
) -> dict[str, list[EntryPoint]]:
    # The list of commands asks once for each of them, and each time every package would be looked
    # through: 3 ms that a person waits for twenty times over.
    found: dict[str, list[EntryPoint]] = {}
    for point in points_of(group=group):
        found.setdefault(point.name, []).append(point)
    return dict(sorted(found.items()))


def owner(point: EntryPoint) -> str:
    """Return the name of the distribution that brings `point`."""
    return point.dist.name if point.dist else "an unnamed distribution"


def load(group: str, name: str) -> Any:
    """Import one plugin and check its shape.

    Raises
    ------
    PluginProblem
        When there is none of that name, two share it, it will not load, or its shape is wrong.
        The message names its owner.
    """
    found = available(group)
    one = group.removesuffix("s")
    if name not in found:
        raise PluginProblem(
            f"there is no {one} called {name!r}", remedy=f"There are: {', '.join(found)}."
        )
    if len(found[name]) > 1:
        owners = " and ".join(sorted(owner(point) for point in found[name]))
        raise PluginProblem(
            f"the {one} {name!r} is offered by {owners}", remedy="Uninstall all but one."
        )
    (point,) = found[name]
    try:
        plugin = point.load()
    except LawnmapError:
        raise
    except Exception as error:
        raise PluginProblem(
            f"the {one} {name!r} from {owner(point)} will not load "
            f"({type(error).__name__}: {error})",
            remedy=f"Mend or uninstall {owner(point)}; everything else goes on working.",
        ) from error
    missing = [part for part in SHAPES[group] if not hasattr(plugin, part)]
    if missing:
        raise PluginProblem(
            f"the {one} {name!r} from {owner(point)} lacks {', '.join(missing)}",
            remedy=f"Tell the makers of {owner(point)}.",
        )
    return plugin
