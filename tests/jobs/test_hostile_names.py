"""A zone name with markup, braces and script leaves no trace but its own text, in any export."""

import csv
import io
import json

import pytest

from lawnmap.jobs.export import render
from lawnmap.jobs.read import read
from lawnmap.jobs.start import start
from tests.jobs.test_plan import planned

NAMES = [
    "</script><script>alert(1)</script>",
    "{{ ''.__class__.__mro__ }}{% raise %}${alert(1)}`",
    '<img src=x onerror="alert(1)">',
    "=cmd|' /C calc'!A0",
]


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("hostile")
    features = []
    for number, name in enumerate(NAMES):
        west = 1.9 + number * 0.001
        ring = [
            [west, 53.4],
            [west + 5e-4, 53.4],
            [west + 5e-4, 53.4002],
            [west, 53.4002],
            [west, 53.4],
        ]
        properties = {
            "zone_id": f"z{number}",
            "name": name,
            "moss_rating": 3,
            "thatch_mm": 15,
            "public_note": name,
            "client_number": name[:30],
        }
        geometry = {"type": "Polygon", "coordinates": [ring]}
        features.append({"type": "Feature", "properties": properties, "geometry": geometry})
    plan = folder / "plan.geojson"
    plan.write_text(
        json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8"
    )
    site = folder / "site"
    start(site, title=NAMES[0])
    read(plan, into=site)
    return planned(site)


@pytest.mark.parametrize("to", ["map", "sheet"])
def test_no_page_holds_a_name_as_markup(made, to):
    page = render(made, to, audience="owner").data.decode("utf-8")
    assert "<script>alert" not in page
    assert "<img src=x" not in page
    assert "</script><script>" not in page.replace("</script>\n<script", "")
    assert "&lt;img src=x" in page


def test_no_template_was_run(made):
    page = render(made, "map", audience="owner").data.decode("utf-8")
    assert "<class 'object'>" not in page
    # The braces stand where they were typed: in the JSON block and in the part without scripts.
    assert page.count("__class__.__mro__") >= 2


def test_the_table_gives_every_name_back_and_no_formula(made):
    text = render(made, "csv", audience="owner").data.decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text)))
    names = {row["name"] for row in rows}
    assert {name for name in NAMES if not name.startswith("=")} <= names
    assert "'" + NAMES[3] in names
    assert not [
        cell for row in rows for cell in row.values() if cell.lstrip().startswith(("=", "@"))
    ]


def test_geojson_gives_every_name_back(made):
    document = json.loads(render(made, "geojson", audience="owner").data)
    names = [each["properties"].get("name") for each in document["features"]]
    assert names == NAMES
