"""Bytes to what is found in them: choose the reader by the kind of content and run it."""

from __future__ import annotations

import re
import sys
from dataclasses import dataclass, field, replace
from pathlib import Path

from lawnmap import plugins, schema
from lawnmap.errors import InputRefused, UsageProblem
from lawnmap.files.admit import Source, admit, admit_stream
from lawnmap.found import Feature, Found, Layer
from lawnmap.model import Site
from lawnmap.plugins import Reader
from lawnmap.processing.entering.merge import Change
from lawnmap.processing.position.control import Agreement
from lawnmap.readers.gathering import gathered

ALL_LAYERS = "*"
NO_CRS = re.compile("local$|picture:")  # what --crs may say beside a CRS


@dataclass(frozen=True)
class Reading:
    """How a site plan is to be read; see ``docs/commands/read.md``.

    Attributes
    ----------
    layers : tuple of str
        Layers to read, each a name or ``NAME=KIND`` to say what its features are; ``*`` for all.
    kind : str or None
        What the features are when neither file nor layer says.
    control : Path or None
        A sheet of control points that puts a drawing or a picture on the earth.
    fit : str
        ``similarity`` or ``affine``: what is fitted to the control points.
    """

    layers: tuple[str, ...] = ()
    crs: str | None = None
    units: str | None = None
    kind: str | None = None
    repair: bool = False
    skip_bad: bool = False
    control: Path | None = None
    fit: str = "similarity"

    @property
    def says_kind(self) -> bool:
        """Whether the person says what the features, or those of a layer, are."""
        named = (text.rpartition("=") for text in self.layers)
        return self.kind is not None or any(
            sign and kind in schema.FEATURES for _, sign, kind in named
        )


@dataclass
class Taken:
    """A site with what was found in a plan, not saved yet.

    Attributes
    ----------
    files : dict of str to bytes
        Files of the site folder that change together with the site, by path from the folder.
    agreement : Agreement or None
        How well the control points agree, when there were any.
    """

    site: Site
    changes: list[Change] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    files: dict[str, bytes] = field(default_factory=dict)
    agreement: Agreement | None = None


def source_of(path: Path | str | Source) -> Source:
    """Admit a site plan from disk, or from standard input for ``-``; once is enough.

    Returns
    -------
    Source
    """
    if isinstance(path, Source):
        return path
    if str(path) == "-":
        return admit_stream(sys.stdin.buffer)
    return admit(path, also=plugins.others("readers"))


def reader_for(source: Source) -> Reader:
    """Return the reader plugin for the kind of content.

    Raises
    ------
    InputRefused
        When no reader takes that kind.
    """
    names = plugins.available("readers")
    if source.kind not in names:
        raise InputRefused(
            f"is of a kind that is not read ({source.kind or 'plain text'})",
            file=source.name,
            remedy=f"These are: {', '.join(names)}.",
        )
    reader: Reader = plugins.load("readers", source.kind)
    return reader


def look(source: Source) -> list[Layer]:
    """List the layers of a site plan."""
    try:
        return reader_for(source).look(source)
    except InputRefused as error:
        raise error.within(file=source.name) from error.__cause__


def found_in(source: Source, reading: Reading) -> Found:
    """Return what is in the chosen layers of a site plan.

    Raises
    ------
    LayerNeeded
        When there are several layers and none was chosen.
    InputRefused
        When the file cannot be read, or its layers lie in different coordinate reference systems.
    """
    reader = reader_for(source)
    # What is no CRS is none of a reader's business.
    crs = reading.crs if reading.crs and not NO_CRS.match(reading.crs) else None
    try:
        wanted = _wanted(reader, source, reading.layers)
        parts = [
            _called(_read(reader, source, name, crs, reading.units), kind) for name, kind in wanted
        ]
        return parts[0] if len(parts) == 1 else _joined(parts)
    except (InputRefused, UsageProblem) as error:
        raise error.within(file=source.name) from error.__cause__


def _read(
    reader: Reader, source: Source, layer: str | None, crs: str | None, units: str | None
) -> Found:
    """Return what a reader finds; each position that one of somebody else hands over is checked."""
    found = reader.read(source, layer=layer, crs=crs, units=units)
    return gathered(found) if plugins.is_outside(reader) else found


def _wanted(
    reader: Reader, source: Source, layers: tuple[str, ...]
) -> list[tuple[str | None, str | None]]:
    """Return the layers to read, and of each what its features are, where that was said."""
    if not layers:
        return [(None, None)]
    names = [each.name for each in reader.look(source)] if layers != (ALL_LAYERS,) else []
    wanted: list[tuple[str | None, str | None]] = []
    for text in layers:
        if text == ALL_LAYERS:
            wanted += [(each.name, None) for each in reader.look(source)]
            continue
        name, equals, kind = text.rpartition("=")
        if text in names or not equals:
            wanted.append((text, None))
        elif kind in schema.FEATURES:
            wanted.append((name, kind))
        else:
            raise UsageProblem(
                f"--layer says {kind[:40]!r} of {name[:60]!r}",
                remedy=f"It can be: {', '.join(schema.FEATURES)}.",
            )
    return wanted or [(None, None)]  # all of none: the reader says what it thinks of that


def _called(found: Found, kind: str | None) -> Found:
    """Return what was found with its features called what the person said they are."""
    if kind is None:
        return found
    features = tuple(
        Feature(each.geometry, {**each.properties, "feature": kind}, each.place)
        for each in found.features
    )
    return replace(found, features=features)


def _joined(parts: list[Found]) -> Found:
    """Return the features of several layers as those of one."""
    if any(part.picture or part.heights for part in parts):
        raise InputRefused("pictures and heights are read one at a time", remedy="Choose a layer.")
    systems = {(part.crs, part.unit_m) for part in parts}
    if len(systems) > 1:
        raise InputRefused(
            "the layers lie in different coordinate reference systems",
            remedy="Read them one by one with --layer.",
        )
    warnings = dict.fromkeys(text for part in parts for text in part.warnings)
    features = tuple(feature for part in parts for feature in part.features)
    return replace(parts[0], features=features, warnings=tuple(warnings))
