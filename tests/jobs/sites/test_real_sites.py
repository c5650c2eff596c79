"""Gardens planned in truth: what they come to together is what their own plans say."""

import math
import shutil

import pytest

from lawnmap.jobs.sites.run import run
from lawnmap.schema import DO, PRICING
from tests.jobs.sites import gardens
from tests.jobs.sites.gardens import TABLES, Ear, planned_alone, rows, tables_of, wanted


@pytest.fixture(scope="module")
def real(tmp_path_factory):
    """Gardens of two regions with a depot each, and what a run over them gives."""
    tmp_path = tmp_path_factory.mktemp("real")
    top = tmp_path / "gardens"
    for number in range(6):
        region = ("north", "south")[number % 2]
        gardens.write(
            top / region / f"garden-{number}", number, zones=1 + number % 2, moss=number % 5
        )
    for region in ("north", "south"):
        gardens.depot(top / region)
    ear = Ear()
    reply = run(top, tmp_path / "out", wanted(tmp_path), ear)
    plans = {
        site_id: planned_alone(top / site_id, tmp_path)
        for site_id in reply.tables["sites"]["site_id"]
    }
    return tmp_path, top, reply, plans, ear


def test_the_sites_are_those_of_the_folder_in_the_order_of_their_ids(real):
    _, _, reply, plans, ear = real
    sites = reply.tables["sites"]
    assert list(sites["site_id"]) == sorted(plans)
    assert list(sites["depot"]) == list(sites["region"]) == ["north"] * 3 + ["south"] * 3
    assert (ear.sites, ear.kept, ear.troubles) == (6, 0, [None] * 6)
    assert ear.shared == {"north": 3, "south": 3}


def test_amounts_are_those_of_the_sites_own_plans(real):
    _, _, reply, plans, _ = real
    needs = reply.tables["site_needs"]
    for site_id, made in plans.items():
        own = needs[(needs["site_id"] == site_id) & needs["status"].isin([DO, PRICING])]
        for row in made.totals.to_dict("records"):
            operations = row["operation"].split(", ")
            same = own[own["operation"].isin(operations) & (own["product"] == row["product"])]
            same = same[(same["status"] == row["status"]) & (same["unit"] == row["unit"])]
            assert math.fsum(same["amount"]) == pytest.approx(row["amount"], rel=1e-12)
            assert math.fsum(same["amount_low"]) == pytest.approx(row["amount_low"], rel=1e-12)


def test_ground_and_zones_are_those_of_the_sites_own_plans(real):
    _, _, reply, plans, _ = real
    for row in reply.tables["sites"].to_dict("records"):
        made = plans[row["site_id"]]
        assert row["zones"] == len(made.zones)
        assert row["ground_area_m2"] == math.fsum(made.zones["ground_area_m2"])
        costs = made.tables["costs"]["cost"].dropna()
        assert row["cost"] == pytest.approx(math.fsum(costs))


def test_the_sites_of_a_depot_share_its_days(real):
    tmp_path, top, reply, plans, _ = real
    shutil.copytree(tmp_path / "out" / ".parts", tmp_path / "apart" / ".parts")
    ear = Ear()
    apart = run(top, tmp_path / "apart", wanted(tmp_path, apart=True), ear)
    assert ear.kept == 6  # days are shared anew each time; sites are not worked out anew
    for row in apart.tables["sites"].to_dict("records"):
        days = plans[row["site_id"]].dates.visits
        assert row["visits"] == len(days)
        assert (row["day_first"], row["day_last"]) == (str(days[0]), str(days[-1]))
    # By themselves all begin on the first day; one person cannot rake three lawns on it.
    firsts = {
        name: set(each.tables["sites"]["day_first"])
        for name, each in (("apart", apart), ("together", reply))
    }
    assert firsts["apart"] == {"2026-09-01"}
    assert len(firsts["together"]) > 1
    assert "Time on the road" in reply.notes[-1]
    assert not apart.notes


def test_hours_are_those_of_the_sites_own_steps(real):
    _, _, reply, plans, _ = real
    own = [made.steps.loc[made.steps["status"] == DO, "hours"].dropna() for made in plans.values()]
    expected = math.fsum(hours for each in own for hours in each)
    assert math.fsum(reply.tables["site_hours"]["hours"]) == pytest.approx(expected)
    assert math.fsum(reply.tables["sites"]["hours"]) == pytest.approx(expected)


def test_a_month_has_the_amounts_of_the_days_in_it(real):
    _, _, reply, _, _ = real
    needs = reply.tables["site_needs"]
    by_month = reply.tables["totals_by"].query("by == 'month' and amount > 0")
    assert set(by_month["key"]) <= set(needs["month"])
    first, last = reply.tables["sites"]["day_first"].min(), reply.tables["sites"]["day_last"].max()
    months = set(needs["month"]) - {""}
    assert months
    assert all(first[:7] <= month <= last[:7] for month in months)


def test_totals_are_sums_of_the_sites_at_every_level(real):
    _, _, reply, _, _ = real
    needs = reply.tables["site_needs"][reply.tables["site_needs"]["status"] == DO]
    by = {"all": None, "region": "region", "depot": "depot", "month": "month", "site": "site_id"}
    compared = 0
    for row in reply.tables["totals_by"][reply.tables["totals_by"]["amount"] > 0].to_dict(
        "records"
    ):
        if row["status"] != DO:
            continue
        key = by[row["by"]]
        same = needs if key is None else needs[needs[key] == row["key"]]
        same = same[(same["operation"] == row["operation"]) & (same["product"] == row["product"])]
        assert math.fsum(same["amount"]) == row["amount"]
        assert same["site_id"].nunique() == row["sites"]
        compared += 1
    assert compared > len(by)


def test_a_depot_buys_once_for_all_its_sites(real):
    _, _, reply, plans, _ = real
    seed = reply.tables["depot_shopping"][
        reply.tables["depot_shopping"]["product"] == "Dune Seed (invented)"
    ]
    assert list(seed["depot"]) == ["north", "south"]
    for row in seed.to_dict("records"):
        amounts = [
            each["amount"]
            for site_id, made in plans.items()
            if site_id.startswith(row["depot"])
            for each in made.totals.to_dict("records")
            if each["product"] == row["product"]
        ]
        assert row["amount"] == pytest.approx(math.fsum(amounts), rel=1e-12)


def test_files_say_what_the_tables_say(real):
    tmp_path, _, reply, _, _ = real
    out = tmp_path / "out"
    names = [path.name for path in reply.files]
    assert names == [
        *(f"{name}.csv" for name in TABLES),
        "map.html",
        "shopping.html",
        "loading.html",
    ]
    assert all("Dune Seed (invented)" in path.read_text("utf-8") for path in reply.files[-2:])
    read = {row["site_id"]: row for row in rows(out, "sites")}
    for row in reply.tables["sites"].to_dict("records"):
        assert read[row["site_id"]]["title"] == row["title"]
        assert float(read[row["site_id"]]["ground_area_m2"]) == pytest.approx(row["ground_area_m2"])
    assert len(rows(out, "needs")) == len(reply.tables["site_needs"])


def test_two_workers_give_the_same_files(real):
    tmp_path, top, *_ = real
    ear = Ear()
    run(top, tmp_path / "two", wanted(tmp_path, workers=2), ear)
    assert ear.worked == 6
    assert tables_of(tmp_path / "two") == tables_of(tmp_path / "out")
