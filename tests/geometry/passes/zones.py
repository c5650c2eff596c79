"""Invented zones of every awkward kind, from seeds."""

import numpy as np
import shapely

WIDTHS = (0.32, 0.38, 0.5, 1.2, 2.0)  # [m]


def zone(seed):
    """Return a zone in metres: hollow, with holes, a sliver, narrow, or in two lobes."""
    rng = np.random.default_rng(seed)
    shape = (star, holed, sliver, narrow, lobes)[seed % 5](rng)
    turned = shapely.affinity.rotate(shape, float(rng.uniform(0, 180)), origin=(0, 0))
    return turned, float(rng.choice(WIDTHS)), float(rng.choice([0.0, 0.1]))


def star(rng):
    many = int(rng.integers(5, 25))
    angle = np.sort(rng.uniform(0, 2 * np.pi, many))
    radius = rng.uniform(4, 18) * rng.uniform(0.35, 1, many)
    stretch = rng.uniform(0.4, 1)
    points = np.column_stack([radius * np.cos(angle), stretch * radius * np.sin(angle)])
    found = shapely.make_valid(shapely.Polygon(points))
    return max(shapely.get_parts(found), key=shapely.area)


def holed(rng):
    outline = shapely.box(0, 0, *rng.uniform(8, 30, 2)) if rng.random() < 0.5 else star(rng)
    for _ in range(int(rng.integers(1, 5))):
        middle = rng.uniform(outline.bounds[:2], outline.bounds[2:])
        if rng.random() < 0.5:
            hole = shapely.Point(middle).buffer(rng.uniform(0.1, 2.5))
        else:
            hole = shapely.box(*middle, *(middle + rng.uniform(0.3, 5, 2)))
        outline = outline.difference(hole)
    return outline


def sliver(rng):
    length, foot = rng.uniform(8, 40), rng.uniform(0.5, 4)
    return shapely.Polygon([(0, 0), (length, 0), (rng.uniform(0, length), foot)])


def narrow(rng):
    path = np.cumsum(rng.uniform(-6, 10, (int(rng.integers(3, 6)), 2)), axis=0)
    wide = rng.uniform(0.3, 3)
    return shapely.LineString(path).buffer(wide, cap_style="flat", join_style="mitre")


def lobes(rng):
    one, other = rng.uniform(4, 14, 2), rng.uniform(4, 14, 2)
    neck = rng.uniform(0.2, 3)
    parts = [
        shapely.box(0, 0, *one),
        shapely.box(one[0] - 0.1, 0.5, one[0] + 6, 0.5 + neck),
        shapely.box(one[0] + 5.9, -2, one[0] + 5.9 + other[0], other[1]),
    ]
    return shapely.union_all(parts)
