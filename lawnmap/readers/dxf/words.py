"""What became of one layer of a drawing, in whole sentences."""

from __future__ import annotations

from collections.abc import Sequence

from lawnmap.readers.dxf import units as dxf_units
from lawnmap.readers.dxf.chains import Gap
from lawnmap.readers.dxf.contents import Contents

MOST_TOLD = 5


def about_unit(contents: Contents, said_m: float | None) -> list[str]:
    """Return what to say when a person overrules the header."""
    if said_m is None or contents.unit_m in {None, said_m}:
        return []
    own = dxf_units.name(contents.unit_m or 0.0)
    return [f"Taken as {dxf_units.name(said_m)}, as you said; the drawing says {own}."]


def about_doubles(contents: Contents, layer: str) -> list[str]:
    """Return how many outlines of a layer were left out as drawn twice."""
    count = contents.doubles[layer]
    if not count:
        return []
    how = "as a hatch and its edge, or one on the other"
    return [f"Drawn twice on layer {layer} ({how}): {count} left out."]


def about_gaps(gaps: Sequence[Gap], unit_m: float | None, layer: str) -> list[str]:
    """Return what became of the gaps between loose lines, the widest first."""
    said = []
    for closed, words in ((True, "closed"), (False, "left open")):
        those = sorted((gap for gap in gaps if gap.closed == closed), reverse=True)
        if those:
            shown = ", ".join(
                f"{_length(gap.size, unit_m)} at {_number(gap.at[0])}, {_number(gap.at[1])}"
                for gap in those[:MOST_TOLD]
            )
            more = f" and {len(those) - MOST_TOLD} more" if len(those) > MOST_TOLD else ""
            said.append(f"Gaps between lines of layer {layer} that were {words}: {shown}{more}.")
    return said


def _length(units: float, unit_m: float | None) -> str:
    return f"{units * unit_m:.3g} m" if unit_m else f"{units:.3g} units"


def _number(value: float) -> str:
    return f"{round(value, 3) + 0.0:.3f}".rstrip("0").rstrip(".")
