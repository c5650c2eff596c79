"""Polygons at random for tests: sound ones, and every way a ring goes wrong on paper.

Each kind is made in metres about a place and put on the earth by the radii of curvature there, so
that what is drawn as a spike or a shared corner is one, to the last bit, in degrees as well.
"""

from __future__ import annotations

import math
import random

A, E2 = 6378137.0, 6.69437999014e-3  # WGS 84


def radii(latitude):
    """Return metres to a degree of longitude and of latitude."""
    s, c = math.sin(math.radians(latitude)), math.cos(math.radians(latitude))
    w = 1 - E2 * s * s
    return math.radians(A * c / math.sqrt(w)), math.radians(A * (1 - E2) / w**1.5)


def star(chance, size, corners=None):
    """Return a ring that is simple by the way it is made, anticlockwise."""
    count = corners or chance.randint(3, 14)
    turn = chance.uniform(0, 2 * math.pi)
    angles = [turn + 2 * math.pi * (n + chance.uniform(0, 0.9)) / count for n in range(count)]
    reach = [size / 2 * chance.uniform(0.3, 1) for _ in angles]
    ring = [(r * math.cos(a), r * math.sin(a)) for r, a in zip(reach, angles, strict=True)]
    return [*ring, ring[0]]


def sound(chance, size):
    return [star(chance, size)]


def clockwise(chance, size):
    return [star(chance, size)[::-1]]


def doubled(chance, size):
    ring = star(chance, size)
    at = chance.randrange(len(ring))
    return [ring[:at] + [ring[at]] * chance.randint(2, 4) + ring[at + 1 :]]


def crossing(chance, size):
    ring = star(chance, size, chance.randint(5, 14))[:-1]
    chance.shuffle(ring)
    return [[*ring, ring[0]]]


def bow_tie(chance, size):
    a, b = size * chance.uniform(0.2, 0.5), size * chance.uniform(0.2, 0.5)
    return [[(0, 0), (a, b), (a, 0), (0, b), (0, 0)]]


def spike(chance, size):
    """Return a ring that goes out to a point and back the same way."""
    ring = star(chance, size)
    at = chance.randrange(1, len(ring) - 1)
    tip = (2 * ring[at][0], 2 * ring[at][1])
    return [[*ring[: at + 1], tip, *ring[at:]]]


def thin_spike(chance, size):
    """Return the same, but a hair wide: sound, with nearly no area in it."""
    ring = star(chance, size)
    at = chance.randrange(1, len(ring) - 1)
    x, y = ring[at]
    wide = 10 ** chance.uniform(-6, -2)
    beside = (x - wide * y / math.hypot(x, y), y + wide * x / math.hypot(x, y))
    return [[*ring[: at + 1], (2 * x, 2 * y), beside, *ring[at + 1 :]]]


def twice(chance, size):
    ring = star(chance, size)
    return [ring + ring[1:]]


def keyhole(chance, size):
    """Return a ring with its hole drawn into it along one line, there and back."""
    outer, inner = star(chance, size, 8), star(chance, size / 8, 5)[::-1]
    return [[*outer[:3], *inner, *outer[2:]]]


def hole(chance, size):
    return [star(chance, size, 9), star(chance, size / 8)[::-1]]


def hole_outside(chance, size):
    inner = star(chance, size / 2)
    return [star(chance, size), [(x + 2 * size, y) for x, y in inner]]


def hole_across(chance, size):
    return [star(chance, size), [(x + size / 2, y) for x, y in star(chance, size)]]


def hole_touching(chance, size):
    """Return a square and a hole that share one corner with its side, or with each other."""
    half = size / 2
    outer = [(-half, -half), (half, -half), (half, half), (-half, half), (-half, -half)]
    first = [(0, -half), (-half / 2, 0), (half / 2, 0), (0, -half)]
    second = [(half / 2, 0), (half / 4, half / 2), (half * 3 / 4, half / 2), (half / 2, 0)]
    return chance.choice([[outer, first], [outer, first, second], [outer, second]])


def hole_along(chance, size):
    """Return a square and a hole that share a stretch of side: no polygon by the standard."""
    half = size / 2
    outer = [(-half, -half), (half, -half), (half, half), (-half, half), (-half, -half)]
    return [outer, [(-half / 2, -half), (half / 2, -half), (0, 0), (-half / 2, -half)]]


def hole_is_all(chance, size):
    ring = star(chance, size)
    return [ring, ring[::-1]]


def tiny(chance, size):
    return [star(chance, 10 ** chance.uniform(-3, -0.5))]


def sliver(chance, size):
    long, wide = size, 10 ** chance.uniform(-7, -2)
    return [[(0, 0), (long, 0), (long, wide), (0, wide), (0, 0)]]


def no_area(chance, size):
    return [[(0, 0), (size, size / 3), (size / 2, size / 6), (0, 0)]]


def large(chance, size):
    return [star(chance, 10 ** chance.uniform(3, 4.3))]


def many_corners(chance, size):
    return [star(chance, size, chance.randint(100, 1000))]


def nearly_closed(chance, size):
    ring = star(chance, size)
    off = 10 ** chance.uniform(-9, -2)
    return [[*ring[:-1], (ring[0][0] + off, ring[0][1])]]


def parts(chance, size):
    """Return two polygons: apart, sharing a corner or a side, overlapping, or one in the other."""
    half = size / 2
    square = [(0, 0), (half, 0), (half, half), (0, half), (0, 0)]
    moved = chance.choice([(size, 0), (half, half), (half, 0), (half / 2, half / 2), (0, 0)])
    share = chance.choice([1, 0.5])
    other = [(share * x + moved[0], share * y + moved[1]) for x, y in square]
    return [[square], [other]]


KINDS = (
    sound, clockwise, doubled, crossing, bow_tie, spike, thin_spike, twice, keyhole, hole,
    hole_outside, hole_across, hole_touching, hole_along, hole_is_all, tiny, sliver, no_area, large,
    many_corners, nearly_closed, parts,
)  # fmt: skip


def geometry(chance, kind, west, south):
    """Return a GeoJSON geometry of one kind about a place [°]; metres of a plan without one."""
    drawn = kind(chance, 10 ** chance.uniform(0.5, 2.5))
    polygons = drawn if kind is parts else [drawn]
    if west is None:
        east, north, west, south = 1.0, 1.0, chance.uniform(0, 500), chance.uniform(0, 500)
    else:
        east, north = radii(south)
    placed = [
        [[[_lon(west + x / east), south + y / north] for x, y in ring] for ring in polygon]
        for polygon in polygons
    ]
    if kind is parts:
        return {"type": "MultiPolygon", "coordinates": placed}
    return {"type": "Polygon", "coordinates": placed[0]}


def _lon(degrees):
    return degrees - 360 if degrees > 180 else degrees + 360 if degrees < -180 else degrees


def place(chance):
    """Return a longitude and a latitude: where people live, at the date line, near a pole."""
    kind = chance.random()
    if kind < 0.1:
        return chance.choice([-180.0, 180.0]), chance.uniform(-60, 60)
    if kind < 0.2:
        return chance.uniform(-179, 179), chance.choice([-1, 1]) * chance.uniform(84, 89.9)
    if kind < 0.25:
        return chance.uniform(-0.001, 0.001), chance.uniform(-0.001, 0.001)
    return chance.uniform(-179, 179), chance.uniform(-75, 75)


def seeded(seed):
    return random.Random(seed)
