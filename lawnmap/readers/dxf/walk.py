"""Every entity of model space, blocks inserted: where it lies, and on which layer.

Nothing is copied or exploded: an entity comes with the matrix that brings its own coordinates to
those of the drawing. Curves are cut into chords before they are moved, so that an uneven scale
needs no rule of its own.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
from ezdxf.document import Drawing
from ezdxf.lldxf.encoding import decode_dxf_unicode

from lawnmap.readers.dxf.count import grid
from lawnmap.readers.dxf.notes import Notes

Matrix = npt.NDArray[np.float64]
BY_INSERT = "0"  # the layer whose entities take, inside a block, the layer of the insert
LONGEST = 200


class Placed(NamedTuple):
    """One entity where it is in the drawing.

    Attributes
    ----------
    entity : DXFEntity
    layer : str
        On which it counts.
    matrix : (4, 4) array
        Row vectors times this are coordinates of the drawing.
    place : str
        For messages: ``layer LAWN, entity 2F``.
    """

    entity: Any
    layer: str
    matrix: Matrix
    place: str


class _Space(NamedTuple):
    """What an entity has from the inserts around it."""

    matrix: Matrix
    layer: str
    block: str


class Walk:
    """The way through one drawing, whose blocks have been counted.

    Parameters
    ----------
    document : Drawing
    notes : Notes
        Told of what is hidden, refers to other drawings or is not there.
    """

    def __init__(self, document: Drawing, notes: Notes) -> None:
        self.document = document
        self.notes = notes
        self.layers = {decode_dxf_unicode(each.dxf.name).lower(): each for each in document.layers}
        self.names: dict[str, str] = {}

    def entities(self) -> Iterator[Placed]:
        """Yield what is to be seen, in drawing order; attributes of blocks come as texts."""
        yield from self._in(self.document.modelspace(), _Space(np.eye(4), BY_INSERT, ""))

    def _in(self, entities: Any, around: _Space) -> Iterator[Placed]:
        for entity in entities:
            layer = self._layer_of(entity, around)
            if entity.dxftype() == "INSERT":
                yield from self._inserted(entity, layer, around)
            elif self._seen(entity, layer):
                yield Placed(entity, layer, around.matrix, _place(entity, layer, around.block))

    def _inserted(self, insert: Any, layer: str, around: _Space) -> Iterator[Placed]:
        name = str(insert.dxf.get("name", ""))
        state = self.layers.get(layer.lower())
        if insert.dxf.invisible or (state is not None and state.is_frozen()):
            self.notes.hidden[layer] += 1
            return
        yield from self._in(insert.attribs, around)
        block = self.document.blocks.get(name)
        if block is None:
            self.notes.missing[name[:LONGEST]] += 1
        elif block.block is not None and (block.block.is_xref or block.block.is_xref_overlay):
            path = str(block.block.dxf.get("xref_path", "")) or name
            self.notes.references[path.replace("\\", "/").rpartition("/")[2][:LONGEST]] = None
        else:
            for matrix in _cells(insert):
                yield from self._in(block, _Space(matrix @ around.matrix, layer, name))

    def _layer_of(self, entity: Any, around: _Space) -> str:
        """Return the layer an entity counts on, spelt as the table of layers spells it."""
        own = str(_attribute(entity, "layer", BY_INSERT)).encode("utf-8", "replace").decode("utf-8")
        if own == BY_INSERT:
            return around.layer
        key = decode_dxf_unicode(own).lower()
        known = self.layers.get(key)
        spelt = known.dxf.name if known is not None else own
        return self.names.setdefault(key, decode_dxf_unicode(str(spelt)))

    def _seen(self, entity: Any, layer: str) -> bool:
        state = self.layers.get(layer.lower())
        hidden = state is not None and (state.is_frozen() or state.is_off())
        if hidden or _attribute(entity, "invisible", 0):
            self.notes.hidden[layer] += 1
            return False
        return True


def _cells(insert: Any) -> Iterator[Matrix]:
    """Yield the matrix of each cell of an insert; cells that fall together count once."""
    first = np.array(list(insert.matrix44()), dtype=np.float64).reshape(4, 4)
    rows, columns = grid(insert)
    if rows * columns == 1:
        yield first
        return
    turn, ocs = math.radians(insert.dxf.rotation), insert.ocs()
    across, up = float(insert.dxf.column_spacing), float(insert.dxf.row_spacing)
    along = (math.cos(turn), math.sin(turn))
    places = {(column * across, row * up): None for row in range(rows) for column in range(columns)}
    for x, y in places:
        # Rows and columns turn with the insert, and are not scaled with it.
        moved = (x * along[0] - y * along[1], x * along[1] + y * along[0], 0.0)
        matrix = first.copy()
        matrix[3, :3] += ocs.to_wcs(moved).xyz
        yield matrix


def _attribute(entity: Any, name: str, default: Any) -> Any:
    """Return an attribute; an entity of a kind that ezdxf does not know has none."""
    return entity.dxf.get(name, default) if entity.dxf.is_supported(name) else default


def _place(entity: Any, layer: str, block: str) -> str:
    inside = f" in block {block[:40]}" if block else ""
    return f"layer {layer[:40]}, entity {entity.dxf.handle}{inside}"
