"""Small invented gardens, quickly written: a folder of them as a contractor might keep it."""

import csv
import dataclasses
import datetime as dt
import json

from lawnmap.files.spreadsheet import unguarded
from lawnmap.jobs.calendar import calendar
from lawnmap.jobs.choices import choices
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan
from lawnmap.jobs.sites.folders import Wanted

TODAY = dt.date(2026, 8, 20)
TABLES = ["sites", "needs", "hours", "totals", "shopping", "machine_days"]
DEPOT = """\
[[product]]
name = "Dune Seed (invented)"
form = "seed"
rate_printed = "25 g per m²"
rate_g_m2 = 25.0
packs = [{ size = 5000, unit = "g", price = 30.0 }, { size = 20000, unit = "g", price = 99.0 }]
"""
CHOICES = """\
first_day = 2026-09-01
operations = ["scarifying", "clearing", "overseeding"]
[products]
seed = "Dune Seed (invented)"
[money]
currency = "GBP"
hour_rate = 30.0
"""
SIDE = 0.0001  # degrees: about 11 m
FAR_NORTH = 52.0


def square(number, zone=0, side=SIDE):
    """Return an outline of its own for each zone of each garden."""
    west, south = -1.0 + number * 0.002, FAR_NORTH + zone * 2 * side
    corners = [(0, 0), (side, 0), (side, side), (0, side), (0, 0)]
    return [[west + x, south + y] for x, y in corners]


def document(number, *, zones=1, moss=3, thatch=2, **header):
    """Return a site of so many square zones."""
    return {
        "type": "FeatureCollection",
        "lawnmap": {"format": 1, "revision": 1, "title": f"Garden {number}", **header},
        "features": [
            {
                "type": "Feature",
                "geometry": {"type": "Polygon", "coordinates": [square(number, zone)]},
                "properties": {
                    "feature": "zone",
                    "zone_id": f"lawn-{zone}",
                    "moss_rating": moss,
                    "thatch_rating": thatch,
                    "outline_source": "tape",
                },
            }
            for zone in range(zones)
        ],
    }


def write(folder, number, choices=CHOICES, **given):
    """Write a site folder."""
    folder.mkdir(parents=True)
    text = json.dumps(document(number, **given))
    (folder / "site.geojson").write_text(text, encoding="utf-8")
    if choices:
        (folder / "specification.toml").write_text(choices, encoding="utf-8")
    return folder


def depot(folder):
    """Make a folder a depot."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "products.toml").write_text(DEPOT, encoding="utf-8")
    return folder


class Ear:
    """A watcher that remembers."""

    def __init__(self):
        self.sites = self.kept = 0
        self.troubles = []
        self.shared = {}

    def begin(self, sites, kept):
        self.sites, self.kept = sites, kept

    def done(self, trouble):
        self.troubles.append(trouble)

    def sharing(self, depot, sites):
        self.shared[depot] = sites

    @property
    def worked(self):
        return len(self.troubles)


def wanted(tmp_path, **changes):
    return dataclasses.replace(Wanted(TODAY, tmp_path / "personal", workers=1), **changes)


def tables_of(out):
    return {name: (out / f"{name}.csv").read_bytes() for name in TABLES}


def rows(out, name):
    with (out / f"{name}.csv").open(encoding="utf-8-sig", newline="") as stream:
        return [{k: unguarded(v) for k, v in row.items()} for row in csv.DictReader(stream)]


def planned_alone(path, tmp_path):
    """Return a site's own plan, as the command plan makes it."""
    opened = open_site(path)
    chosen = choices(opened, depot=None, personal=tmp_path / "personal", today=TODAY)
    return plan(opened.site, chosen, calendar(opened), today=TODAY, setting_out=False)
