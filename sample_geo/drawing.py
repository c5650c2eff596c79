"""The invented sample site, drawn in metres east and north of a point in the open sea.

Nothing here exists: the outlines, the ratings, the names and the notes are made up to show what
lawnmap does. `make.py` writes this drawing in every format that lawnmap reads.
"""

from __future__ import annotations

import math

ANCHOR = (1.9, 53.4)  # longitude, latitude: open water, on purpose
TITLE = "Marram House (invented)"
SURVEYED = "2026-09-02"

Ring = list[tuple[float, float]]


def rounded(corners: Ring, radius: float = 2.0, steps: int = 5) -> Ring:
    """Return a ring with its corners rounded, as a mower leaves them."""
    result: Ring = []
    for index, (x, y) in enumerate(corners):
        before, after = corners[index - 1], corners[(index + 1) % len(corners)]
        reach = min(radius, math.dist(before, (x, y)) / 2, math.dist((x, y), after) / 2)
        start, end = _towards((x, y), before, reach), _towards((x, y), after, reach)
        for step in range(steps + 1):
            t = step / steps
            result.append(
                (
                    (1 - t) ** 2 * start[0] + 2 * t * (1 - t) * x + t**2 * end[0],
                    (1 - t) ** 2 * start[1] + 2 * t * (1 - t) * y + t**2 * end[1],
                )
            )
    return result


def oval(x: float, y: float, across: float, along: float, points: int = 28) -> Ring:
    """Return an ellipse with the given diameters."""
    turn = [2 * math.pi * index / points for index in range(points)]
    return [(x + across / 2 * math.cos(a), y + along / 2 * math.sin(a)) for a in turn]


def _towards(a: tuple[float, float], b: tuple[float, float], reach: float) -> tuple[float, float]:
    share = reach / math.dist(a, b)
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


# zone_id: (name, ring, facts)
ZONES: dict[str, tuple[str, Ring, dict[str, object]]] = {
    "front-west": (
        "Front lawn, west",
        rounded([(-24, -19), (-3.6, -19), (-3.6, -4), (-15, -3), (-24, -5)]),
        {
            "moss_rating": 2,
            "thatch_mm": 11,
            "sun_hours_seen": 6.5,
            "bare_pct": 3,
            "drainage": "free",
            "cut_height_mm": 35,
            "outline_source": "tape",
            "grass": "ryegrass, fescue",
        },
    ),
    "front-east": (
        "Front lawn, east",
        rounded([(2.6, -19), (25, -19), (26.5, -12), (25, -4), (2.6, -4)]),
        {
            "moss_rating": 2,
            "thatch_rating": 1,
            "sun_hours_seen": 6.0,
            "bare_pct": 4,
            "cut_height_mm": 35,
            "outline_source": "tape",
            "public_note": "Rose bed stays as it is.",
        },
    ),
    "side-strip": (
        "Side strip behind the gate",
        [(16.6, -2.5), (18.9, -2.5), (18.9, 9.6), (16.6, 9.6)],
        {
            "moss_cover_pct": 70,
            "thatch_mm": 9,
            "moss_depth_mm": 22,
            "moss_form": "trailing",
            "sun_hours_seen": 2.0,
            "bare_pct": 8,
            "drainage": "slow",
            "compaction": "hard",
            "cut_height_mm": 28,
            "outline_source": "tape",
        },
    ),
    "terrace": (
        "Round the terrace",
        rounded([(-8, 10.6), (24, 10.6), (25, 17), (24, 23.6), (-8, 23.6)], 1.5),
        {
            "moss_rating": 3,
            "thatch_mm": 16,
            "sun_hours_seen": 5.0,
            "bare_pct": 5,
            "wear": "heavy",
            "tug_test": "holds",
            "cut_height_mm": 25,
            "outline_source": "tape",
        },
    ),
    "main": (
        "Main lawn",
        rounded([(-8, 24), (24, 24), (23, 33), (24, 42), (-8, 42)]),
        {
            "moss_cover_pct": 38,
            "thatch_mm": 17,
            "moss_depth_mm": 15,
            "sun_hours_seen": 6.5,
            "bare_pct": 4,
            "drainage": "free",
            "tug_test": "holds",
            "cut_height_mm": 30,
            "outline_source": "drawn",
            "grass": "fescue, bent, ryegrass",
        },
    ),
    "pond-side": (
        "Beside the pond",
        rounded([(24.6, 24.5), (45, 25.5), (46, 43), (35, 44.5), (24.6, 43)]),
        {
            "moss_rating": 4,
            "thatch_rating": 2,
            "moss_depth_mm": 18,
            "sun_hours_seen": 5.5,
            "bare_pct": 6,
            "drainage": "stands wet",
            "cut_height_mm": 40,
            "outline_source": "drawn",
        },
    ),
    "under-oak": (
        "Under the oak",
        rounded([(-27, 24), (-8.6, 24), (-8.6, 42), (-27, 41)]),
        {
            "moss_rating": 5,
            "thatch_mm": 8,
            "moss_depth_mm": 30,
            "moss_form": "cushion",
            "sun_hours_seen": 2.5,
            "bare_pct": 12,
            "soil_ph": 5.4,
            "cut_height_mm": 30,
            "outline_source": "drawn",
            "private_note": "The owner likes the moss by the trunk.",
        },
    ),
    "bank-west": (
        "Upper bank, west",
        [(-27, 42.6), (-10, 43.2), (8.8, 42.6), (8.8, 48.5), (-9, 49.4), (-27, 48.5)],
        {
            "moss_rating": 3,
            "thatch_rating": 2,
            "sun_hours_seen": 4.5,
            "slope_seen_deg": 19,
            "bare_pct": 5,
            "tug_test": "holds",
            "cut_height_mm": 40,
            "outline_source": "drawn",
        },
    ),
    "bank-east": (
        "Upper bank, east",
        [(9.4, 42.6), (24, 43.4), (35, 45.2), (46, 44), (46, 49.5), (28, 51), (9.4, 49)],
        {
            "moss_rating": 1,
            "thatch_mm": 5,
            "sun_hours_seen": 7.5,
            "slope_seen_deg": 14,
            "cut_height_mm": 40,
            "outline_source": "drawn",
        },
    ),
    "orchard": (
        "Orchard",
        rounded([(-45, 8), (-30, 7), (-27.6, 18), (-27.6, 37), (-38, 38), (-45, 30)], 3.0),
        {
            "moss_rating": 3,
            "thatch_rating": 3,
            "sun_hours_seen": 5.0,
            "bare_pct": 2,
            "cut_height_mm": 60,
            "outline_source": "gps",
            "iron": "not on this site",
            "public_note": "Hens walk here: no iron.",
        },
    ),
    "east-walk": (
        "East walk",
        rounded([(29, -17), (38, -18), (41, 0), (40, 22), (30, 23), (29, 4)], 2.5),
        {
            "moss_rating": 2,
            "thatch_mm": 27,
            "sun_hours_seen": 6.0,
            "bare_pct": 2,
            "tug_test": "holds",
            "cut_height_mm": 30,
            "outline_source": "drawn",
        },
    ),
    "play-corner": (
        "Play corner",
        rounded([(-27, 9), (-15, 9), (-9, 12), (-9, 22.6), (-27, 22.6)]),
        {
            "moss_rating": 3,
            "thatch_rating": 1,
            "sun_hours_seen": 5.5,
            "bare_pct": 15,
            "wear": "heavy",
            "compaction": "will not go in",
            "cut_height_mm": 30,
            "outline_source": "drawn",
            "sown_last": "2026-08-20",
        },
    ),
}

# kind, name, geometry type, coordinates in metres, facts
FEATURES: list[tuple[str, str, str, list[tuple[float, float]], dict[str, object]]] = [
    ("building", "House", "Polygon", [(0, 0), (16, 0), (16, 10), (0, 10)], {"height_m": 7.5}),
    ("building", "Garage", "Polygon", [(-14, 2), (-8, 2), (-8, 8), (-14, 8)], {"height_m": 3.2}),
    (
        "building",
        "Summer house",
        "Polygon",
        [(19, 36), (22.4, 36), (22.4, 39.4), (19, 39.4)],
        {"height_m": 3.0},
    ),
    ("paving", "Drive", "Polygon", [(-3.2, -19), (2.2, -19), (2.2, 0), (-3.2, 0)], {}),
    (
        "paving",
        "Terrace",
        "Polygon",
        [(0, 10), (16, 10), (16, 15), (11, 16.5), (5, 16.5), (0, 15)],
        {"public_note": "Pale sandstone: iron stains it."},
    ),
    (
        "paving",
        "Path to the summer house",
        "Polygon",
        [(15, 15.5), (16.4, 15.5), (19.8, 36), (18.4, 36)],
        {},
    ),
    ("water", "Pond", "Polygon", oval(36, 35, 8, 6), {"water_kind": "pond"}),
    (
        "water",
        "Ditch",
        "LineString",
        [(-48, 54), (-10, 55), (30, 57), (50, 56)],
        {"water_kind": "ditch"},
    ),
    ("drain", "Drive gully", "Point", [(1.2, -17.5)], {"drain_kind": "gully"}),
    (
        "drain",
        "Terrace channel",
        "LineString",
        [(0.2, 10.3), (15.8, 10.3)],
        {"drain_kind": "channel"},
    ),
    ("bed", "Rose bed", "Polygon", oval(15, -11, 6, 3, 20), {}),
    ("bed", "Long border", "Polygon", [(-7.5, 40), (14, 40.4), (14, 41.8), (-7.5, 41.8)], {}),
    (
        "tree",
        "Oak",
        "Point",
        [(-18, 33)],
        {
            "height_m": 14,
            "crown_base_m": 3,
            "crown_radius_m": 7,
            "stem_m": 0.9,
            "leaf": "deciduous",
        },
    ),
    (
        "tree",
        "Apple, west",
        "Point",
        [(-38, 15)],
        {
            "height_m": 4.5,
            "crown_base_m": 1.6,
            "crown_radius_m": 2.2,
            "stem_m": 0.25,
            "leaf": "deciduous",
        },
    ),
    (
        "tree",
        "Apple, east",
        "Point",
        [(-33, 26)],
        {
            "height_m": 4.0,
            "crown_base_m": 1.5,
            "crown_radius_m": 2.0,
            "stem_m": 0.22,
            "leaf": "deciduous",
        },
    ),
    (
        "tree",
        "Pine",
        "Point",
        [(43.5, 20)],
        {
            "height_m": 12,
            "crown_base_m": 4,
            "crown_radius_m": 3,
            "stem_m": 0.5,
            "leaf": "evergreen",
        },
    ),
    ("hedge", "West hedge", "LineString", [(-47, 5), (-47, 42)], {"height_m": 2.4}),
    ("fence", "East fence", "LineString", [(48, -20), (48, 50)], {"height_m": 1.8}),
    ("access", "Drive gate", "Point", [(-0.5, -19)], {"width_m": 3.2}),
    ("access", "Side gate", "Point", [(17.7, -2.5)], {"width_m": 0.9}),
    (
        "hidden",
        "Boundary wire",
        "LineString",
        [(-7, 25), (23, 25), (23, 41), (-7, 39.5), (-7, 25)],
        {"hidden_kind": "boundary wire", "depth_mm": 20},
    ),
    ("hidden", "Pop-up head", "Point", [(8, 33)], {"hidden_kind": "irrigation", "depth_mm": 0}),
    ("supply", "House tap", "Point", [(16.2, 6)], {"supply_kind": "tap", "flow_l_min": 14}),
    ("supply", "Terrace socket", "Point", [(8, 10.1)], {"supply_kind": "socket"}),
    ("core", "", "Point", [(0, 28)], {"zone_id": "main", "date": SURVEYED, "thatch_mm": 15}),
    ("core", "", "Point", [(10, 36)], {"zone_id": "main", "date": SURVEYED, "thatch_mm": 18}),
    ("core", "", "Point", [(20, 29)], {"zone_id": "main", "date": SURVEYED, "thatch_mm": 18}),
    (
        "core",
        "",
        "Point",
        [(30, 29)],
        {
            "zone_id": "pond-side",
            "date": SURVEYED,
            "thatch_mm": 17,
            "moss_hits": 62,
            "moss_points": 100,
        },
    ),
    (
        "core",
        "",
        "Point",
        [(40, 41)],
        {
            "zone_id": "pond-side",
            "date": SURVEYED,
            "thatch_mm": 15,
            "moss_hits": 57,
            "moss_points": 100,
        },
    ),
    ("core", "", "Point", [(-4, 21)], {"zone_id": "terrace", "date": SURVEYED, "thatch_mm": 16}),
]
