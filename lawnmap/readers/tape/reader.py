"""Tape surveys: a sheet of measures becomes outlines with the error each is known to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lawnmap.files.utf8 import decode
from lawnmap.found import Found, Layer
from lawnmap.readers.layers import choose
from lawnmap.readers.net import netted
from lawnmap.readers.tape import rows as tape_rows
from lawnmap.readers.tape.drawings import SHAPES, area_m2, drawn, feature
from lawnmap.readers.tape.report import report
from lawnmap.readers.tape.sheet import sheet
from lawnmap.readers.tape.strips import areas_by_offsets
from lawnmap.readers.tape.survey import survey

if TYPE_CHECKING:
    from lawnmap.files.admit import Source

TITLE = "Tape survey (CSV sheet of measures)"
KINDS = ("tape",)
CHILD = False

LAYER = "survey"


@netted
def look(source: Source) -> list[Layer]:
    """List the one layer that a sheet is; with its area when the sheet names its unit."""
    rows, _ = tape_rows.rows(decode(source.data, source.name))
    unit = tape_rows.unit(rows, None)
    if unit is None:
        shapes = [SHAPES[row.kind] for row in rows if row.kind in SHAPES]
        return [Layer(LAYER, len(shapes), tuple(sorted(set(shapes))))]
    measured = sheet(rows, unit)
    worked = survey(measured)
    things = drawn(measured.drawings)
    kinds = tuple(sorted({SHAPES[each.kind] for each in things}))
    return [Layer(LAYER, len(things), kinds, sum(area_m2(each, worked) for each in things))]


@netted
def read(
    source: Source,
    *,
    layer: str | None = None,
    crs: str | None = None,  # noqa: ARG001 - every reader takes it; a tape knows no place on earth
    units: str | None = None,
) -> Found:
    """Return what the sheet draws, in metres from its first point.

    Parameters
    ----------
    units : str, optional
        Unit of bare numbers, when the sheet has no row for it.

    Raises
    ------
    InputRefused
        With line or point, for a sheet that cannot be understood or does not fix every point.
    """
    rows, unknown = tape_rows.rows(decode(source.data, source.name))
    measured = sheet(rows, tape_rows.unit(rows, units))
    things = drawn(measured.drawings)
    if layer is not None:
        choose([Layer(LAYER, len(things))], layer)
    worked = survey(measured)
    features = tuple(feature(each, worked) for each in things)
    warnings = report(measured, worked)
    by_offsets = (areas_by_offsets(each, measured, area_m2(each, worked)) for each in things)
    warnings += [sentence for sentence in by_offsets if sentence is not None]
    if unknown:
        warnings.append(f"Columns that are not known were not read: {', '.join(unknown)[:200]}.")
    return Found(features, None, tuple(warnings), local=True, unit_m=1.0)
