"""Rows of coordinates: the corners of outlines where a name repeats, else a point each."""

from __future__ import annotations

from itertools import groupby, pairwise
from typing import TYPE_CHECKING

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.readers import attributes, walked

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lawnmap.readers.cells import Columns, Value
    from lawnmap.readers.gathering import Gathering

KEYS = ("zone_id", "name")
ORDERS = ("point", "order", "seq")
TIMES = ("time", "timestamp")  # rows with times are a walked line, not the corners of an outline
LEAST = 3  # corners


def gather(
    gathering: Gathering,
    positions: Sequence[list[float]],
    columns: Columns,
    lines: Sequence[int],
) -> None:
    """Add the features that rows of coordinates make.

    Parameters
    ----------
    gathering : Gathering
        Added to.
    positions : sequence of list of float
        x (or longitude) and y of each row.
    columns : dict of str to list
        The other columns.
    lines : sequence of int
        Line of each row, for places.

    Raises
    ------
    InputRefused
        When the rows of one outline are not together, not in order, or fewer than three.
    """
    rows = range(len(positions))
    key, order = _column(columns, KEYS), _column(columns, ORDERS)
    keys = columns[key] if key is not None else [None for _ in rows]
    corner = _corners(columns, ordered=order is not None, count=len(positions))
    named = [keys[row] for row in rows if corner[row] and keys[row] is not None]
    if len(set(named)) == len(named):
        corner = [False for _ in rows]
    seen: set[Value] = set()
    # A point is a group of its own; the corners of an outline are one as long as the name stays.
    for (is_outline, value), group in groupby(
        rows, lambda row: (corner[row], keys[row] if corner[row] else row)
    ):
        run = list(group)
        if not is_outline:
            _add_point(gathering, positions[run[0]], columns, run[0], lines)
            continue
        place = f"lines {lines[run[0]]} to {lines[run[-1]]}"
        if value is None or value in seen:
            problem = "do not stand together" if value in seen else "do not say whose they are"
            raise InputRefused(f"the corners {problem}", place=place, remedy=f"Sort by {key}.")
        seen.add(value)
        part = {name: [values[row] for row in run] for name, values in columns.items()}
        _add_outline(gathering, [positions[row] for row in run], part, order, place)


def _column(columns: Columns, wanted: tuple[str, ...]) -> str | None:
    """Return the name of the first wanted column there is, as the table spells it."""
    plain = {name.strip().lower(): name for name in columns}
    return next((plain[each] for each in wanted if each in plain), None)


def _corners(columns: Columns, *, ordered: bool, count: int) -> list[bool]:
    """Tell for each row whether it may be a corner: its kind of feature has to allow an outline.

    What may be a point (a tree, a core) is one, unless the rows are numbered.
    """
    feature = _column(columns, ("feature",))
    if feature is None:
        return [True] * count
    result: list[bool] = []
    for kind in columns[feature]:
        shapes = schema.FEATURES.get(str(kind).strip().lower(), schema.POLYGON)
        result.append("Polygon" in shapes and (ordered or "Point" not in shapes))
    return result


def _add_point(
    gathering: Gathering,
    position: list[float],
    columns: Columns,
    row: int,
    lines: Sequence[int],
) -> None:
    properties = {name: values[row] for name, values in columns.items()}
    place = attributes.place("line", lines[row], properties)
    gathering.add([{"type": "Point", "coordinates": position}], properties, place)


def _add_outline(
    gathering: Gathering,
    corners: list[list[float]],
    columns: Columns,
    order: str | None,
    lines: str,
) -> None:
    """Add one ring, closed if need be, with what all its corners agree on."""
    shared = {name: values[0] for name, values in columns.items() if len(set(values)) == 1}
    name = next((v for k, v in shared.items() if k.strip().lower() in KEYS and v), "")
    place = f'{lines} "{attributes.one_line(str(name))[: attributes.SHOWN]}"'
    if order is not None:
        _check_order(order, columns[order], place)
    times = _column(columns, TIMES)
    if times is not None and any(columns[times]) and len(corners) >= LEAST:
        shared = {k: v for k, v in shared.items() if k not in {order, times}}
        line = walked.cleaned(gathering, corners, columns[times], place)
        shared.setdefault("outline_source", "gps")
        gathering.add([{"type": "LineString", "coordinates": line}], shared, place)
        return
    for column in columns:
        if column != order and column not in shared:
            gathering.note(f"{column!r} differs from corner to corner and was left out", place)
    if len(corners) < LEAST:
        raise InputRefused(
            f"has {len(corners)} corners, and an outline has at least {LEAST}",
            place=place,
            remedy="Rows of one name are one outline: give points names of their own.",
        )
    if corners[0] != corners[-1]:
        corners = [*corners, corners[0]]
        gathering.note("Closed by joining the last corner to the first", place)
    shared.pop(order or "", None)
    gathering.add([{"type": "Polygon", "coordinates": [corners]}], shared, place)


def _check_order(name: str, values: Sequence[Value], place: str) -> None:
    numbers = [each for each in values if isinstance(each, int | float)]
    rising = all(one < other for one, other in pairwise(numbers))
    if len(numbers) < len(values) or not rising:
        raise InputRefused(
            f"the corners are not in the order of {name!r}", place=place, remedy="Sort the rows."
        )
