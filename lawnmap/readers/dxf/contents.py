"""What a drawing holds, layer by layer. Runs inside the guarded child."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from ezdxf.document import Drawing

from lawnmap.errors import InputRefused
from lawnmap.readers.dxf import count as dxf_count
from lawnmap.readers.dxf import document as dxf_document
from lawnmap.readers.dxf import doubles as dxf_doubles
from lawnmap.readers.dxf import texts as dxf_texts
from lawnmap.readers.dxf import units as dxf_units
from lawnmap.readers.dxf.chains import Gap, join
from lawnmap.readers.dxf.notes import Notes
from lawnmap.readers.dxf.pieces import DAMAGED, Drawn, Piece, Pieces, extent
from lawnmap.readers.dxf.texts import Text
from lawnmap.readers.dxf.walk import Walk

GAP_M = 0.01  # a pencil line is no wider on the ground
GAP_PART = 1e-4  # of the drawing's size, when its unit is in doubt


@dataclass
class Contents:
    """A drawing, read.

    Attributes
    ----------
    layers : dict of str to list of Piece
        Those that hold any outline, line or point.
    gaps : dict of str to list of Gap
        Between the loose lines of each.
    doubles : Counter
        Outlines left out of each, as they are drawn twice.
    size : tuple of float
        Width and height of it all, in its units.
    unit_m : float or None
        Metres to a unit, as the header says.
    """

    document: Drawing
    notes: Notes
    texts: list[Text]
    size: tuple[float, float]
    unit_m: float | None
    layers: dict[str, list[Piece]] = field(default_factory=dict)
    gaps: dict[str, list[Gap]] = field(default_factory=dict)
    doubles: Counter[str] = field(default_factory=Counter)


def read(file: str, said_m: float | None) -> Contents:
    """Read a drawing: count, walk, join, and leave out what is drawn twice.

    Parameters
    ----------
    file : str
    said_m : float or None
        Metres to a unit, as the person says.

    Raises
    ------
    InputRefused
        For a damaged drawing, too much in it, and numbers that cannot be, by place.
    """
    document = dxf_document.load(file)
    try:
        return _contents(document, said_m)
    except InputRefused:
        raise
    except DAMAGED as error:
        raise dxf_document.damaged(error) from error


def _contents(document: Drawing, said_m: float | None) -> Contents:
    dxf_count.check(document)
    notes = Notes()
    pieces = Pieces(notes)
    texts: list[Text] = []
    for placed in Walk(document, notes).entities():
        if placed.entity.dxftype() in dxf_texts.KINDS:
            text = dxf_texts.read(placed)
            texts += [text] if text is not None else []
        else:
            pieces.add(placed)
    header = document.header.get("$INSUNITS", 0)
    unit_m = dxf_units.HEADER_M.get(header)
    size = extent(list(pieces.layers.values()))
    contents = Contents(document, notes, texts, size, unit_m)
    known_m = said_m or unit_m
    gap = min(GAP_PART * max(size), GAP_M / known_m if known_m else np.inf)
    for name, drawn in pieces.layers.items():
        _finish(contents, name, drawn, gap)
    return contents


def _finish(contents: Contents, name: str, drawn: Drawn, gap: float) -> None:
    """Join the loose lines of one layer, and leave out what is drawn twice."""
    joined = join(drawn.lines, gap)
    made = [Piece(shape, drawn.places[first]) for shape, first in (*joined.rings, *joined.lines)]
    every = [*drawn.pieces, *made]
    gone = dxf_doubles.dropped(every)
    kept = [piece for n, piece in enumerate(every) if n not in gone]
    if kept:
        contents.layers[name] = kept
        contents.gaps[name] = joined.gaps
        contents.doubles[name] = len(gone)


def outlines(pieces: Sequence[Piece]) -> list[Piece]:
    """Return those pieces that enclose ground."""
    return [piece for piece in pieces if isinstance(piece.shape, shapely.Polygon)]
