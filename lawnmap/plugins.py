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

from lawnmap.errors import PluginProblem

if TYPE_CHECKING:
    import geopandas as gpd
    import pandas as pd

    from lawnmap.files.admit import Source
    from lawnmap.found import Found, Layer
    from lawnmap.model import Specification
    from lawnmap.paper import Paper

OURS = "lawnmap"
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
        """List the layers that hold features.

        Parameters
        ----------
        source : Source
            The file, admitted: its bytes, name and kind of content.

        Returns
        -------
        list of Layer
            In the file's order.
        """

    def read(
        self,
        source: Source,
        *,
        layer: str | None = None,
        crs: str | None = None,
        units: str | None = None,
    ) -> Found:
        """Return the features of one layer.

        Parameters
        ----------
        source : Source
            The file, admitted: its bytes, name and kind of content.
        layer : str or None
            Name of the layer that was chosen.
        crs : str or None
            CRS that the person named, for a file that does not name one.
        units : str or None
            Unit that the person named: m, cm, mm, ft, in or yd.

        Returns
        -------
        Found
            As they stand in the file, in its own coordinates; nothing of it is judged yet.

        Raises
        ------
        LayerNeeded
            When there are several layers and none was chosen.
        InputRefused
            With the place of what cannot be read.
        """


class Treatment(Protocol):
    """One trade operation: zones and a specification in, one row a zone × step out.

    KIND is one of TREATMENT_KINDS: it picks strips, pass lines, loads and cautions. A module may
    have a ``REFERENCE``: a folder with rows of its own for the reference tables, which have unit,
    source and standing as ours do (``reference/bringing.py``).
    """

    TITLE: str
    KIND: str

    def steps(self, zones: gpd.GeoDataFrame, specification: Specification) -> pd.DataFrame:
        """Return the rows of this operation.

        Parameters
        ----------
        zones : GeoDataFrame
            Those that chose it and are to be worked, by zone_id, with the columns of the steps up
            to ``choose`` in the schema.
        specification : Specification
            The choices, label cards and machines.

        Returns
        -------
        DataFrame
            A row a zone × step with columns of the table ``steps`` in the schema; what is left out
            is empty.
        """


class Export(Protocol):
    """A paper in, bytes out. AUDIENCE is who it is for when nobody is named.

    A page of HTML is handed over with a PDF beside it, unless its module has a ``TWIN`` that is
    False.
    """

    TITLE: str
    SUFFIX: str
    AUDIENCE: str

    def render(self, paper: Paper) -> bytes:
        """Return the whole file.

        Parameters
        ----------
        paper : Paper
            The plan, cut down to the audience already.

        Returns
        -------
        bytes

        Raises
        ------
        InputRefused
            When there is nothing of the kind to hand over, such as a position.
        """


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


def others(group: str) -> list[str]:
    """Return the names of one group that somebody else brings, alone or beside us."""
    return list(_others(available, entry_points, group))


@cache
def _others(
    offered: Callable[[str], Mapping[str, list[EntryPoint]]], _: Any, group: str
) -> tuple[str, ...]:
    # Whose a point is stands in the papers of its package, 2 ms each; every reading asks.
    return tuple(name for name, points in offered(group).items() if not all(map(is_ours, points)))


def is_ours(point: EntryPoint) -> bool:
    """Tell whether lawnmap itself brings `point`."""
    return owner(point) == OURS


def load(group: str, name: str) -> Any:
    """Return one plugin, imported and its shape checked.

    What somebody else brings comes behind a guard: whatever its calls raise, print or give that
    cannot be used is told by its owner. See :mod:`lawnmap.outside.guard`.

    Raises
    ------
    PluginProblem
        When there is none of that name, two share it, it will not load, or its shape is wrong.
        The message names its owner.
    """
    point = _single(group, name)
    if is_ours(point):
        plugin = point.load()
        _refuse_thin(plugin, group, point)
        return plugin
    from lawnmap.outside import guard

    who = _called(group, point)
    with guard.told(who, owner(point), "load"):
        plugin = point.load()
        _refuse_thin(plugin, group, point)
        if group == "commands":
            return plugin
        guard.parts(plugin, group, TREATMENT_KINDS)
        if group == "treatments":
            _bring(plugin, name, owner(point))
    return guard.Guarded(plugin, group, who, owner(point))


def _bring(treatment: Treatment, name: str, brings: str) -> None:
    """Add what a treatment of somebody else brings beside its rows: its title, and its tables."""
    from lawnmap.pages import words
    from lawnmap.reference.bringing import bring

    words.BROUGHT[f"operation.{name}"] = treatment.TITLE
    folder = getattr(treatment, "REFERENCE", None)
    if folder is not None:
        there = available("treatments").items()
        own = [operation for operation, points in there if brings in map(owner, points)]
        bring(brings, own, folder)


def is_outside(plugin: Any) -> bool:
    """Tell whether a plugin that was loaded is of somebody else."""
    from lawnmap.outside.guard import Guarded

    return isinstance(plugin, Guarded)


def _called(group: str, point: EntryPoint) -> str:
    return f"the {group.removesuffix('s')} {point.name!r} from {owner(point)}"


def _single(group: str, name: str) -> EntryPoint:
    """Return the one entry point of a name."""
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
    return found[name][0]


def _refuse_thin(plugin: Any, group: str, point: EntryPoint) -> None:
    missing = [part for part in SHAPES[group] if not hasattr(plugin, part)]
    if missing:
        raise PluginProblem(
            f"{_called(group, point)} lacks {', '.join(missing)}",
            remedy=f"Tell the makers of {owner(point)}.",
        )
