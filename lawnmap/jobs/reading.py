"""Bytes to features: choose the reader by the kind of content and run it."""

from __future__ import annotations

import sys
from pathlib import Path

from lawnmap import plugins
from lawnmap.errors import InputRefused
from lawnmap.files.admit import Source, admit, admit_stream
from lawnmap.model import Found, Layer
from lawnmap.plugins import Reader

ALL_LAYERS = "*"


def source_of(path: Path | str) -> Source:
    """Admit a site plan from disk, or from standard input for ``-``."""
    if str(path) == "-":
        return admit_stream(sys.stdin.buffer)
    return admit(path)


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


def features_of(
    source: Source, *, layer: str | None = None, crs: str | None = None, units: str | None = None
) -> Found:
    """Return the features of one layer of a site plan, or of all for the layer ``*``.

    See :class:`lawnmap.plugins.Reader`.

    Raises
    ------
    InputRefused
        When the file cannot be read, or its layers lie in different coordinate reference systems.
    """
    reader = reader_for(source)
    try:
        if layer != ALL_LAYERS:
            return reader.read(source, layer=layer, crs=crs, units=units)
        names = [each.name for each in reader.look(source)]
        return _joined([reader.read(source, layer=name, crs=crs, units=units) for name in names])
    except InputRefused as error:
        raise error.within(file=source.name) from error.__cause__


def _joined(parts: list[Found]) -> Found:
    """Return the features of several layers as those of one."""
    systems = {part.crs for part in parts}
    if len(systems) > 1:
        raise InputRefused(
            "the layers lie in different coordinate reference systems",
            remedy="Read them one by one with --layer.",
        )
    warnings = dict.fromkeys(text for part in parts for text in part.warnings)
    features = tuple(feature for part in parts for feature in part.features)
    return Found(features, systems.pop(), tuple(warnings))
