"""OpenStreetMap files in the making, for the tests of their reader."""

from xml.sax.saxutils import quoteattr

from lawnmap.files.admit import Source

SIDE = 1e-4  # of a square [°]


def tags(**said):
    """Return tag elements; a double underscore stands for a colon."""
    return "".join(
        f"<tag k={quoteattr(key.replace('__', ':'))} v={quoteattr(value)}/>"
        for key, value in said.items()
    )


def node(number, lon, lat, **said):
    return f'<node id="{number}" lat="{lat!r}" lon="{lon!r}">{tags(**said)}</node>'


def way(number, refs, **said):
    nds = "".join(f'<nd ref="{ref}"/>' for ref in refs)
    return f'<way id="{number}">{nds}{tags(**said)}</way>'


def relation(number, members, **said):
    """Return a multipolygon of ways with roles."""
    said = {"type": "multipolygon", **said}
    inside = "".join(
        f'<member type="{rest[0] if rest else "way"}" ref="{ref}" role="{role}"/>'
        for ref, role, *rest in members
    )
    return f'<relation id="{number}">{inside}{tags(**said)}</relation>'


def square(number, west=0.0, south=0.0, side=SIDE, **said):
    """Return a closed way with its four nodes, numbered after it."""
    corners = [(west, south), (west + side, south), (west + side, south + side)]
    corners.append((west, south + side))
    numbers = [number * 10 + each for each in range(4)]
    nodes = [node(each, *corner) for each, corner in zip(numbers, corners, strict=True)]
    return way(number, [*numbers, numbers[0]], **said) + "".join(nodes)


def source(*things, head='<osm version="0.6">'):
    return Source("plan.osm", f"{head}{''.join(things)}</osm>".encode(), "osm")
