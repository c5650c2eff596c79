"""What is private stays at home, in every export and its PDF, however it is looked for."""

from __future__ import annotations

import csv
import json
import platform
import re
import socket
import tempfile
from pathlib import PurePath

import pytest

from lawnmap import plugins
from lawnmap.jobs.calendar import calendar
from lawnmap.jobs.choices import choices
from lawnmap.jobs.export import papers, render
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan as worked_out
from lawnmap.jobs.start import start
from lawnmap.store.record import COLUMNS
from tests.exports.read_back import everything
from tests.jobs.test_plan import TODAY

EXPORTS = sorted(plugins.available("exports"))
WIDE = ("public", "client", "crew")
# Numbers that nothing else has: what is in the shed [g], and what a pack costs.
STOCK, PRICE = 27182.8, 31415.93
PACKS = f'packs = [{{ size = 100, unit = "kg", price = {PRICE} }}]'
OWN = ("27182", "27.183", "31415")  # as files have them, and as people read them
NOTES = {
    "private_note": "PRIV-note",
    "client_name": "PRIV-name",
    "address": "12 PRIV-road",
    "phone": "PRIV-0700",
    "Gate Code": "PRIV-gate",
    "source_file": "/PRIV-folder/plan.dxf",
    "photographer": "PRIV-photographer",
}


def furnish(site, depot):
    """Write private facts wherever a site folder and a depot can hold any."""
    path = site / "site.geojson"
    document = json.loads(path.read_text("utf-8"))
    document["lawnmap"] |= {"client": "PRIV-header", "client_phone": "PRIV-0701"}
    document["PRIV-member"] = "PRIV-member"
    for feature in document["features"]:
        feature["properties"] |= NOTES
        feature["PRIV-foreign"] = "PRIV-foreign"
    path.write_text(json.dumps(document), "utf-8")
    cards = (site / "products.toml").read_text("utf-8")
    cards = cards.replace("stock = 600", f"stock = {STOCK}")
    cards = re.sub(r"packs = \[\n[^\]]*size = 20,[^\]]*\]", PACKS, cards)
    (depot / "products.toml").write_text(cards, "utf-8")
    (site / "products.toml").unlink()
    path = site / "specification.toml"
    text = path.read_text("utf-8").replace("moss by the trunk", "PRIV-reason")
    path.write_text(text.replace("hour_rate = 30.00", "hour_rate = 271.83"), "utf-8")
    closed = "from,to,zones,reason,kind\n2026-09-15,2026-09-15,,PRIV-party,closed\n"
    (site / "closed.csv").write_text(closed, "utf-8")
    done = dict.fromkeys(COLUMNS, "") | {
        "record_id": "r1", "zone_id": "orchard", "operation": "mowing", "date": "2026-09-04",
        "operator": "PRIV-operator", "certificate_no": "PRIV-certificate", "reason": "PRIV-why",
        "waste_note_no": "PRIV-waste", "done": "done",
    }  # fmt: skip
    with (site / "record.csv").open("w", encoding="utf-8", newline="") as file:
        table = csv.DictWriter(file, [*COLUMNS, "weather_diary"])
        table.writeheader()
        table.writerow(
            {key: done.get(key, "") for key in COLUMNS} | {"weather_diary": "PRIV-diary"}
        )
    (site / "photos").mkdir(exist_ok=True)
    (site / "photos" / "PRIV-photo.jpg").write_bytes(b"PRIV-pixels")


@pytest.fixture(scope="module")
def plan(tmp_path_factory):
    home = tmp_path_factory.mktemp("PRIV-home")
    with pytest.MonkeyPatch.context() as patch:
        for name in ("USER", "LOGNAME", "USERNAME", "HOSTNAME", "COMPUTERNAME", "REALNAME"):
            patch.setenv(name, "PRIV-user")
        patch.setenv("HOME", str(home))
        patch.setattr(socket, "gethostname", lambda: "PRIV-host")
        patch.setattr(platform, "node", lambda: "PRIV-host")
        patch.setattr(tempfile, "tempdir", str(home))
        patch.chdir(home)
        site, depot = home / "garden", home / "PRIV-depot"
        start(site, sample=True)
        depot.mkdir()
        furnish(site, depot)
        opened = open_site(site)
        chosen = choices(opened, depot=depot, personal=home / "nobody", today=TODAY)
        yield worked_out(opened.site, chosen, calendar(opened), today=TODAY)


@pytest.fixture(scope="module")
def given(plan):
    """Return what an export hands out for an audience, with its PDF where it goes to the crew."""
    kept = {}

    def files(name, audience):
        if (name, audience) not in kept:
            twins = audience == "crew"
            made = (
                papers(plan, name, audience=audience)
                if twins
                else [render(plan, name, audience=audience)]
            )
            kept[name, audience] = {
                each.name: everything(PurePath(each.name).suffix, each.data) for each in made
            }
        return kept[name, audience].items()

    return files


def private(text):
    return sorted({each for each in (*NOTES.values(), "PRIV-", *OWN, "271.83") if each in text})


@pytest.mark.figure(20, "kinds of export: no private marker for public, client and crew")
@pytest.mark.parametrize("name", EXPORTS)
def test_nobody_else_gets_anything_private(given, name):
    for audience in WIDE:
        for file, text in given(name, audience):
            assert private(text) == [], f"{file} for {audience}"
            assert len(text) > 400


@pytest.mark.figure(20, "kinds of export: the owner gets stock and cost, and nothing more")
@pytest.mark.parametrize("name", EXPORTS)
def test_the_owner_gets_stock_and_cost_and_nothing_of_the_rest(given, name):
    for file, text in given(name, "owner"):
        assert set(private(text)) <= {*OWN, "271.83"}, file


def test_the_markers_would_be_found_if_they_were_there(given):
    text = "".join(text for name in ("xlsx", "gpkg") for _, text in given(name, "owner"))
    assert set(private(text)) >= {"27182", "31415"}
