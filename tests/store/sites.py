"""Small invented sites for the tests of the store."""

from __future__ import annotations

import random

import pytest

from lawnmap.errors import LawnmapError
from lawnmap.model import FORMAT, Site
from lawnmap.store import surveys
from lawnmap.store.folder import Folder
from lawnmap.store.site import create


def zone(zone_id, **properties):
    number = int("".join(filter(str.isdigit, zone_id)) or 0)
    west, south = 0.001 * number, 52.0
    ring = [[west, south], [west + 0.0005, south], [west + 0.0005, south + 0.0005], [west, south]]
    return {
        "type": "Feature",
        "properties": {"feature": "zone", "zone_id": zone_id, **properties},
        "geometry": {"type": "Polygon", "coordinates": [ring]},
    }


def site(*features, **header):
    return Site(
        {
            "type": "FeatureCollection",
            "lawnmap": {"format": FORMAT, "title": "Invented garden", "revision": 0, **header},
            "features": list(features or [zone("a1")]),
        }
    )


def made(path, *features, **header):
    """Make a site in a new folder and return both."""
    folder = Folder(path)
    return folder, create(folder, site(*features, **header)).site


def closed(folder, old, *, day):
    """Lay a closed survey into a folder, as the job saves it together with the site."""
    survey, files = surveys.closing(folder, old, day=day)
    for name, data in files.items():
        path = folder.together(name)
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(data)
    return survey


def counted(old, count, **more):
    """Return the site with its counter at `count` and a note of random length."""
    note = "moss " * random.randrange(2_000)
    return old.with_features([zone("a1", count=count, public_note=note, **more)])


def count_of(old):
    return old.document["features"][0]["properties"].get("count", 0)


def record_of(count):
    """Return the text of the record that belongs to a count."""
    return b"count\n" + b"%d\n" * count % tuple(range(1, count + 1))


def told(call, *args, **kwargs):
    """Return the whole message of the refusal that a call must end in."""
    with pytest.raises(LawnmapError) as caught:
        call(*args, **kwargs)
    return str(caught.value)
