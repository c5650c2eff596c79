"""A small invented garden with every file that lawnmap keeps of its own, and what each is used for.

Tests take one file after the other, put something else in its place, and use it as a command does.
"""

import datetime as dt
import json
import os
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from lawnmap.files.admit import Source
from lawnmap.found import SurfaceHeights
from lawnmap.grids import GridMap
from lawnmap.jobs.calendar import calendar
from lawnmap.jobs.choices import choices
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan
from lawnmap.jobs.reply import read_reply
from lawnmap.jobs.start import start
from lawnmap.light import Sunlight, ZoneSun
from lawnmap.processing.sun.facts import facts_of
from lawnmap.store import (
    heights,
    issued,
    record,
    sunlight,
    surface,
)
from lawnmap.store import site as site_store
from lawnmap.store.folder import Folder
from tests.replies import reply
from tests.store.sites import closed

TODAY = dt.date(2027, 3, 1)
SURVEY = "2027-02-01"
WEST, SOUTH = -1.5, 53.8
STEP_LON, STEP_LAT = 1.5e-5, 9.0e-6  # about a metre


def at(x_m, y_m):
    """Return a longitude and latitude so many metres east and north of the garden's corner."""
    return [round(WEST + x_m * STEP_LON, 7), round(SOUTH + y_m * STEP_LAT, 7)]


def box(x0, y0, x1, y1):
    ring = [at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1), at(x0, y0)]
    return {"type": "Polygon", "coordinates": [ring]}


def point(x, y):
    return {"type": "Point", "coordinates": at(x, y)}


def line(*corners):
    return {"type": "LineString", "coordinates": [at(*each) for each in corners]}


def feature(kind, geometry, **facts):
    return {"type": "Feature", "properties": {"feature": kind, **facts}, "geometry": geometry}


def features():
    """Return what is mapped: two zones of lawn, and one of most other things."""
    return [
        feature(
            "zone", box(0, 0, 12, 8), zone_id="front", name="Front lawn", moss_rating=3,
            thatch_mm=14, bare_pct=4, cut_height_mm=30, outline_source="tape",
        ),
        feature(
            "zone", box(14, 0, 24, 8), zone_id="back", name="Back lawn", moss_cover_pct=35,
            thatch_rating=2, sun_hours_seen=5.5, fed_last="2026-09-20", came_from="old",
        ),
        feature("bed", box(3, 3, 5, 5), name="Rose bed"),
        feature("water", line((0, 12), (24, 12)), name="Ditch", water_kind="ditch"),
        feature("tree", point(26, 4), name="Oak", height_m=9, crown_radius_m=3, leaf="deciduous"),
        feature("access", point(12, -2), name="Gate", width_m=1.2),
        feature("hidden", line((1, 1), (10, 1)), hidden_kind="cable", depth_mm=300),
        feature(
            "core", point(16, 4), zone_id="back", thatch_mm=15, date="2027-02-01", moss_hits=40,
            moss_points=100,
        ),
    ]  # fmt: skip


PRODUCTS = """\
[[product]]
name = "Moss iron"
form = "soluble"
authorised_for_moss = true
authorisation_no = "M0"
country = "GB"
use_by = 2030-01-01
user = "home"
analysis_pct = 20.0
analysis_as = "Fe"
analysis_basis = "w/w"
rate_printed = "50 g in 10 l over 16 m²"
water_low_l_m2 = 0.4
water_high_l_m2 = 1.0
most_doses_a_year = 3
least_days_between = 28
iron_to_seed_days = 42
untreated_strip_m = 2.0
packs = [{ size = 1, unit = "kg", price = 9.5 }, { size = 5, unit = "kg" }]
stock = 100
cautions = ["Stains paving."]

[[product]]
name = "Garden seed"
form = "seed"
rate_g_m2 = 30.0
purity_pct = 98
germination_pct = 85
packs = [{ size = 2, unit = "kg", price = 20 }]

[[product]]
name = "Autumn feed"
form = "feed"
nitrogen_pct = 6
packs = [{ size = 10, unit = "kg" }]
"""
MACHINES = """\
[[machine]]
name = "Knapsack"
kind = "knapsack"
width_m = 1.0
speed_km_h = 3.0
tank_l = 15
water_l_m2 = 0.6

[[machine]]
name = "Electric rake"
kind = "electric"
width_m = 0.38
speed_km_h = 2
field_efficiency = 0.7
box_l = 50
area_m2_h = 200
hire_a_day = 40
weight_kg = 18
most_slope_deg = 20
count = 1
available_from = 2027-01-01
available_until = 2027-12-31

[[machine]]
name = "Drop spreader"
kind = "spreader"
width_m = 0.5
speed_km_h = 3
hopper_kg = 20
box_l = 25
"""
SPECIFICATION = """\
turf_type = "general lawn"
iron = "allowed"
country = "GB"
user = "home"
season = "spring"
first_day = 2027-03-08
last_day = 2027-10-30
weekdays = ["saturday", "sunday", "friday"]

[crew]
people = 2
hours_a_day = 6.5

[products]
iron = "Moss iron"
seed = "Garden seed"
feed = "Autumn feed"

[applicator]
iron = "Knapsack"
seed = "Drop spreader"

[strips.legal]
water_m = 3.0
from = "site rule"

[money]
currency = "GBP"
hour_rate = 25
travel_a_visit = 10.5

[disposal]
route = "bins"
bins = 2

[zones.back]
reason = "the dog"
"""
CLOSED = """\
from,to,zones,reason,kind
2027-03-20,2027-03-28,,Easter,closed
2027-04-01,2027-04-05,front,"party, large",
2027-04-06,2027-09-30,back,,open only
"""
WEATHER = """\
date,min_c,max_c,rain_mm,frost,soil_c
2027-02-25,1,9.5,0,no,5
2027-02-26,-2,7,2.5,yes,4.5
2027-02-27,3,11,0,no,6
2027-02-28,4,12,,,6.5
"""
RECORD = [
    {
        "record_id": "work.1", "zone_id": "front", "operation": "iron_soluble", "amount": "300",
        "date": "2026-10-10", "unit": "g", "area_m2": "92.5", "product": "Moss iron",
        "dose": "3.243", "dose_unit": "g/m²", "wind_force": "2",
    },
    {
        "record_id": "work.2", "zone_id": "old", "operation": "overseeding", "date": "2026-09-12",
        "amount": "2.4", "unit": "kg", "area_m2": "80", "note": "thin, =dry",
    },
    {"record_id": "work.3", "zone_id": "back", "operation": "mowing", "date": "2027-02-20"},
    {"record_id": "work.4", "date": "2027-02-21", "cancels": "work.3", "reason": "wrong zone"},
]  # fmt: skip
CALIBRATIONS = """\
date,operator,applicator,kind,nozzle,pressure_bar,setting,product,water_l_m2,rate_g_m2,\
width_m,speed_km_h,flow_l_min,measured
2027-02-10,,Knapsack,knapsack,red 03,2,,,0.55,,1.1,3.2,1.9,"width=1.1 m"
2027-02-11,,Drop spreader,drop,,,7,Garden seed,,28.5,0.5,3,,
2027-02-12,,Drop spreader,drop,,,8,Garden seed,,33,0.5,3,,
"""
ASSESSED = """\
zone_id,moss_rating,thatch_mm,drainage,public_note
front,4,12.5,slow,"damp, shady"
back,-,,free,
"""
PICTURE = b"RIFF\x12\x00\x00\x00WEBPVP8L\x05\x00\x00\x00\x2f\x00\x00\x00\x00\x00"
BACKDROP = {
    "format": 1, "name": "plan", "bounds": [-1.501, 53.799, -1.499, 53.801], "width": 1,
    "height": 1, "source": "plan.png", "source_width": 400, "source_height": 300, "crs": None,
    "pixel_map": {
        "grid": [0.1, 0.0, 0.0, 0.0, -0.1, 0.0], "frame": [-1.5, 53.8], "fit_sigma_m": 0.1,
        "scale_sigma": None,
    },
    "control": [
        {"name": "A", "column_row": [1, 2], "lonlat": [-1.5, 53.8], "residual_m": [0.1, 0.0]}
    ],
    "rmse_m": 0.1,
}  # fmt: skip
LANDED = [
    [*at(x, y), 20 + 0.1 * x + 0.05 * y, row, column]
    for row, y in enumerate((-4, 4, 14)) for column, x in enumerate((-4, 6, 16, 30))
]  # fmt: skip


@dataclass
class Garden:
    """A site folder with everything in it, below a depot."""

    depot: Path

    @property
    def folder(self):
        return Folder(self.depot / "garden")

    @property
    def inbox(self):
        """Where files lie that somebody brings."""
        return self.depot / "inbox"

    def state(self):
        """Return every file below the depot with its bytes; locks hold nothing."""
        found = {}
        for where, _, names in os.walk(self.depot):
            for name in names:
                if not name.endswith("lock"):
                    path = Path(where, name)
                    found[str(path)] = path.read_bytes()
        return found

    def put_back(self, state):
        """Make the folder what it was."""
        now = self.state()
        for path in now.keys() - state.keys():
            Path(path).unlink()
        for path, data in state.items():
            if now.get(path) != data:
                Path(path).parent.mkdir(parents=True, exist_ok=True)
                Path(path).write_bytes(data)

    def specification(self, opened, personal=None):
        nobody = self.depot / "nobody"
        return choices(opened, depot=self.depot, personal=personal or nobody, today=TODAY)

    def planned(self):
        """Work the plan out as ``lawnmap plan`` does, and assert that it is sound."""
        opened = open_site(self.folder.path)
        made = plan(
            opened.site,
            self.specification(opened),
            calendar(opened),
            today=TODAY,
            sun=sunlight.kept(self.folder),
            setting_out=False,
        )
        sound(made)
        return made


def sound(made):
    """Assert that every figure of a plan is one that can be: finite, and none below zero."""
    for name in ("zones", "steps", "totals", "loads"):
        table = getattr(made, name)
        for column in table.columns:
            if column == "geometry" or not pd.api.types.is_numeric_dtype(table[column]):
                continue
            values = table[column].to_numpy(dtype=float, na_value=np.nan)
            assert not np.isinf(values).any(), f"{name}.{column} is without end"
            if column.endswith(("_m2", "_g", "_ml", "_h", "_l", "amount")):
                assert not (values < 0).any(), f"{name}.{column} is below zero"
    areas = made.zones["ground_area_m2"]
    assert areas.notna().all()


def garden(where, *, cache=True):
    """Make the garden below a new or empty folder."""
    where.mkdir(exist_ok=True)
    (where / "inbox").mkdir()
    (where / "products.toml").write_text(PRODUCTS, encoding="utf-8")
    (where / "machines.toml").write_text(MACHINES, encoding="utf-8")
    (where / "calibration.csv").write_text(CALIBRATIONS, encoding="utf-8")
    made = Garden(where)
    folder = start(made.folder.path, title="Invented garden", timezone="Europe/London").folder
    empty = site_store.load(folder)
    first = site_store.save(folder, empty.with_features(features()[:3]), today=TODAY).site
    _facts(folder, first)
    _brought(made, first)
    if cache:
        _cached(folder)
    return made


def _facts(folder, first):
    """Write what lies beside the site file, and save it once more."""
    second = first.with_header(surveyed=SURVEY).with_features(features())
    rows = record.with_rows(record.Record(record.COLUMNS, ()), RECORD)
    site_store.save(folder, second, also={record.NAME: rows}, today=TODAY)
    folder.specification.write_text(SPECIFICATION, encoding="utf-8")
    folder.closed.write_text(CLOSED, encoding="utf-8")
    folder.weather.write_text(WEATHER, encoding="utf-8")
    lines = [",".join(heights.HEADER), *(",".join(map(str, each)) for each in LANDED)]
    (folder.path / heights.NAME).write_text("\n".join(lines) + "\n", encoding="utf-8")
    (folder.path / surface.NAME).write_bytes(surface.encode(_surface()))
    folder.backdrop.mkdir()
    (folder.backdrop / "plan.webp").write_bytes(PICTURE)
    (folder.backdrop / "plan.json").write_text(json.dumps(BACKDROP), encoding="utf-8")
    kept = site_store.load(folder)
    closed(folder, _before(kept), day=dt.date.fromisoformat(SURVEY))


def _before(site):
    """Return the site as it was looked at once before: less moss, and one more core."""
    found = json.loads(json.dumps(site.document["features"]))
    found[0]["properties"]["moss_rating"] = 1
    found[-1]["properties"] |= {"thatch_mm": 20, "date": "2026-02-01"}
    return site.with_features(found)


def _surface():
    cells = np.full((4, 5), 20.0)
    cells[1, 4] = 29.0
    return SurfaceHeights(
        cells, tuple(at(-2, 10)), (2.0, 0.0), (0.0, -2.0), "survey.tif", dt.date(2027, 1, 2)
    )


def _brought(made, site):
    """Write what others bring, accept a reply, and issue a plan."""
    about = {"id": site.header["site_id"], "title": site.title, "revision": 2}
    answers = {
        "site": about,
        "comments": [{"id": "c1", "zone_id": "front", "text": "Mind the cat."}],
    }
    agreed = [{"zone_id": "", "issued": "", "name": "Ann Example", "conditions": "after May"}]
    read_reply(Source("a.json", reply(**answers, agreements=agreed), "reply"), made.folder.path)
    (made.inbox / "visit.json").write_bytes(visited(about))
    (made.inbox / "sheet.csv").write_text(ASSESSED, encoding="utf-8")
    plan_of = made.planned()
    zones = pd.DataFrame(plan_of.zones.drop(columns="geometry")).reset_index()
    tables = {"zones": zones, "steps": plan_of.steps}
    rows = {name: json.loads(table.to_json(orient="records", date_format="iso"))
            for name, table in tables.items()}  # fmt: skip
    inputs = {"features": site.document["features"], "today": TODAY.isoformat(), "title": "Garden"}
    issued.issue(
        made.folder, day=dt.date(2027, 2, 27), inputs=inputs, plan=rows,
        to={"audience": "client", "name": "Ann Example"}, files={"map.html": b"<p>map</p>"},
    )  # fmt: skip


def visited(about):
    """Return a reply with something in each of its lists."""
    corners = [[0, 0], [6, 0], [6, 4], [0, 4]]
    return reply(
        site=about,
        zones=[{"zone_id": "front", "base": {"moss_rating": 3}, "now": {"moss_rating": 4}}],
        sketches=[{
            "id": "s1", "name": "Pond lawn", "ring": corners, "at": at(30, 0),
            "how": "sides and diagonal", "facts": {"moss_rating": 2},
        }],
        places=[{
            "id": "p1", "feature": "drain", "lonlat": at(13, 4), "zone_id": "back",
            "facts": {"drain_kind": "gully"},
        }],
        cores=[{
            "id": "k1", "zone_id": "back", "lonlat": at(18, 4), "thatch_mm": 12, "moss_hits": 3,
            "moss_points": 10, "date": "2027-02-28", "note": "dry",
        }],
        comments=[{"id": "c2", "zone_id": "back", "text": "Mind the dog."}],
        agreements=[{"zone_id": "back", "issued": "", "name": "Ann Example", "conditions": ""}],
        work=[{
            "id": "w1", "zone_id": "front", "operation": "mowing", "application": "",
            "date": "2027-02-26", "amount": None, "unit": "", "area_m2": 90.5, "product": "",
            "note": "=wet",
        }],
        answers={"Dog?": "yes"},
    )  # fmt: skip


def _cached(folder):
    """Keep hours of sun as the command does, without asking where the sun stands."""
    site = site_store.load(folder)
    facts = facts_of(site.zones, site.features, site.heights, site.surface)
    cells = np.array([[4.25, 5.5, np.nan], [6.0, 3.75, 2.5]], dtype=np.float32)
    sunlight.keep(folder, "0" * 12, Sunlight(
        first=dt.date(2027, 4, 1), last=dt.date(2027, 9, 30), season=True, step_m=0.5,
        latitude=53.8, open_h=12.25,
        zones={"front": ZoneSun(4.5, 2.0, 6.25, 310), "back": ZoneSun(5.25, 3.0, 7.5, 290)},
        maps=(GridMap(cells, (-1.5, 53.8, -1.4996, 53.8001)),), told=("Trees as they stand.",),
        facts=facts,
    ))  # fmt: skip
