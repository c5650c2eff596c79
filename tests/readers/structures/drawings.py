"""DXF drawings that are nearly right: text tags of entities, blocks and inserts of them."""

from __future__ import annotations

import math
from itertools import pairwise

from hypothesis import strategies as st

from tests.readers.structures import near
from tests.readers.structures.near import chances, rings

PLACES = [(0.0, 0.0), (30.0, 12.0), (10.0, -20.0)] * 3 + [(1e6, 2e6)]
WIDTHS = [8.0, 8.0, 20.0, 1e-4]
LAYERS = ["LAWN", "LAWN", "LAWN", "BED", "0", "Gr\u00fcn", "PATH"]
VALUES = [
    "", "0", "1", "-1", "nan", "1e400", "1e308", "x", "99999", "256", "LAWN", "AcDbLine",
    "2147483648", "1,5", "\\U+10FFFF", "-0.0", "1e-320", "*Model_Space", "A", "ENDBLK",
    "SEQEND",
]  # fmt: skip
CODES = [0, 2, 5, 8, 10, 20, 30, 40, 42, 50, 62, 66, 70, 71, 90, 210, 230, 999, 1071]


# Which part of an entity its own tags stand in, since release 2000.
PARTS = {
    "LWPOLYLINE": "AcDbPolyline",
    "POLYLINE": "AcDb2dPolyline",
    "VERTEX": "AcDb2dVertex",
    "MTEXT": "AcDbMText",
    "INSERT": "AcDbBlockReference",
    **{
        kind.upper(): f"AcDb{kind}"
        for kind in ("Line", "Circle", "Ellipse", "Point", "Spline", "Hatch", "Text")
    },
}


def _entity(kind, layer, *tags):
    parts = [[100, "AcDbEntity"], [8, layer], [100, PARTS[kind]]] if kind in PARTS else [[8, layer]]
    if kind == "ARC":  # a circle, and then some
        parts = [[100, "AcDbEntity"], [8, layer], [100, "AcDbCircle"]]
        tags = [*tags[:-2], (100, "AcDbArc"), *tags[-2:]]
    return [[0, kind], *parts, *([code, value] for code, value in tags)]


def _corners(ring, bulge):
    for number, (x, y) in enumerate(ring):
        yield from ((10, x), (20, y))
        if bulge and number == 0:
            yield 42, bulge


@st.composite
def _outline(draw, layer):
    ring = draw(rings(PLACES, WIDTHS))
    flag = draw(st.sampled_from([1, 1, 1, 0]))
    bulge = draw(st.sampled_from([0, 0, 0, 0.4, -1, 1e9]))
    if draw(st.sampled_from([True, True, False])):
        ring = ring[:-1] if flag else ring
        tags = [(90, len(ring)), (70, flag), *_corners(ring, bulge)]
        return _entity("LWPOLYLINE", layer, *tags)
    made = _entity("POLYLINE", layer, (66, 1), (70, flag))
    for x, y in ring:
        made += _entity("VERTEX", layer, (10, x), (20, y), (30, draw(st.sampled_from([0, 0, 3]))))
    return [*made, *_entity("SEQEND", layer)]


@st.composite
def _sides(draw, layer):
    """Draw an outline as lines that meet, or nearly do."""
    ring = draw(rings(PLACES, WIDTHS))
    gap = draw(st.sampled_from([0, 0, 0.001, 0.5]))
    made = []
    for (x1, y1), (x2, y2) in pairwise(ring):
        made += _entity("LINE", layer, (10, x1), (20, y1), (11, x2 + gap), (21, y2))
    return made


@st.composite
def _round(draw, layer):
    chance = draw(chances())
    x, y = draw(st.sampled_from(PLACES))
    radius = draw(st.sampled_from([4.0, 4.0, 0.2, 0.0, 1e13]))
    kind = draw(st.sampled_from(["CIRCLE", "ARC", "ELLIPSE", "POINT", "SPLINE"]))
    if kind == "POINT":
        return _entity(kind, layer, (10, x), (20, y))
    if kind == "SPLINE":
        ring = near.star(chance, (x, y), 6.0)
        knots = [(40, n) for n in range(len(ring) + 4)]
        points = [tag for each in ring for tag in ((10, each[0]), (20, each[1]), (30, 0))]
        counts = [(70, 8), (71, 3), (72, len(knots)), (73, len(ring)), (74, 0)]
        return _entity(kind, layer, *counts, *knots, *points)
    if kind == "ELLIPSE":
        ratio = draw(st.sampled_from([0.5, 1.0, 0.0, -1.0]))
        end = draw(st.sampled_from([math.tau, math.pi]))
        axis = [(11, radius), (21, 0), (31, 0), (40, ratio), (41, 0), (42, end)]
        return _entity(kind, layer, (10, x), (20, y), (30, 0), *axis)
    angles = [(50, 10), (51, 200)] if kind == "ARC" else []
    return _entity(kind, layer, (10, x), (20, y), (40, radius), *angles)


@st.composite
def _hatch(draw, layer):
    ring = draw(rings(PLACES, WIDTHS))[:-1]
    plane = [(10, 0), (20, 0), (30, 0), (210, 0), (220, 0), (230, 1)]
    tags = [
        *plane,
        (2, "SOLID"),
        (70, 1),
        (71, 0),
        (91, 1),
        (92, 2),
        (72, 0),
        (73, 1),
        (93, len(ring)),
    ]
    tags += [tag for x, y in ring for tag in ((10, x), (20, y))]
    return _entity(
        "HATCH", layer, *tags, (97, 0), (75, draw(st.sampled_from([0, 1, 2]))), (76, 1), (98, 0)
    )


@st.composite
def _text(draw, layer):
    x, y = draw(st.sampled_from(PLACES))
    words = draw(
        st.sampled_from(
            ["Back lawn", "%%UFront%%U", "{\\fArial;Rose} bed", "\\U+00E9t\\U+00E9", ""]
        )
    )
    tags = [(10, x), (20, y), (40, 0.5), (1, words)]
    return _entity(draw(st.sampled_from(["TEXT", "MTEXT"])), layer, *tags)


@st.composite
def _insert(draw, layer, names):
    x, y = draw(st.sampled_from(PLACES))
    across, up = draw(st.sampled_from([(1, 1), (1, 1), (-1, 2), (0, 1)]))
    tags = [(2, draw(st.sampled_from(names))), (10, x), (20, y), (41, across), (42, up), (43, 1)]
    turn = draw(st.sampled_from([0, 0, 30]))
    grid = draw(st.sampled_from([(1, 1), (1, 1), (2, 3), (400, 400)]))
    tags += [(50, turn), (70, grid[0]), (71, grid[1]), (44, 5), (45, 5)]
    return _entity("INSERT", layer, *tags)


@st.composite
def _entities(draw, names, most):
    made = []
    for _ in range(draw(st.integers(1, most))):
        layer = draw(st.sampled_from(LAYERS))
        what = draw(
            st.sampled_from(
                [_outline] * 5 + [_sides, _sides, _round, _round, _hatch, _text, _insert]
            )
        )
        made.append(draw(what(layer, names) if what is _insert else what(layer)))
    return made


def _nudged(draw, entities):
    """Return the tags of entities with one of them of another value or code, gone, or twice."""
    entities = [[list(tag) for tag in each] for each in entities]
    for _ in range(draw(near.COUNTS)):
        one = draw(st.sampled_from(entities))
        at = draw(st.integers(0, max(len(one) - 1, 0)))
        what = draw(
            st.sampled_from(["value", "value", "code", "gone", "twice", "entity", "swapped"])
        )
        if what == "value" and one:
            one[at][1] = draw(st.sampled_from(VALUES))
        elif what == "code" and one:
            one[at][0] = draw(st.sampled_from(CODES))
        elif what == "gone" and one:
            del one[at]
        elif what == "twice" and one:
            one.insert(at, list(one[at]))
        elif what == "entity":
            entities.append([list(tag) for tag in one])
        elif what == "swapped":
            other = draw(st.integers(0, len(entities) - 1))
            entities[0], entities[other] = entities[other], entities[0]
    return [tag for each in entities for tag in each]


def _section(name, tags):
    return [[0, "SECTION"], [2, name], *tags, [0, "ENDSEC"]]


@st.composite
def dxf(draw):
    unit = draw(st.sampled_from([6] * 8 + [4, 2, 0, 99]))
    release = draw(st.sampled_from(["AC1015", "AC1015", "AC1009", "AC1032"]))
    names = ["A", "B", "a", "C"]
    header = [[9, "$ACADVER"], [1, release], [9, "$INSUNITS"], [70, unit]]
    flags = draw(st.sampled_from([0, 0, 0, 1, 4]))
    layer = [[0, "LAYER"], [2, "BED"], [70, flags], [62, draw(st.sampled_from([7, 7, -7]))]]
    tables = [[0, "TABLE"], [2, "LAYER"], [70, 1], *layer, [0, "ENDTAB"]]
    blocks = []
    for name in draw(st.sampled_from([[], ["A"], ["A", "B"]])):
        inside = [tag for each in draw(_entities(names, 2)) for tag in each]
        head = [[0, "BLOCK"], [8, "0"], [2, name], [70, 0], [10, 0], [20, 0], [30, 0], [3, name]]
        blocks.append([*head, *inside, [0, "ENDBLK"], [8, "0"]])
    every = [
        *_section("HEADER", header),
        *_section("TABLES", tables),
        *_section("BLOCKS", _nudged(draw, blocks) if blocks else []),
        *_section("ENTITIES", _nudged(draw, draw(_entities(names, 4)))),
        [0, "EOF"],
    ]
    return "".join(f"{code:3}\n{_value(value)}\n" for code, value in every).encode()


def _value(value):
    return repr(value) if isinstance(value, float) else str(value)
