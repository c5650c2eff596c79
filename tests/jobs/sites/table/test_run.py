"""A run over a table of zones: what it writes, what it leaves out, and how it goes on."""

from __future__ import annotations

import datetime as dt
import math
from pathlib import Path
from types import SimpleNamespace

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely

from lawnmap.errors import InputRefused, UsageProblem
from lawnmap.jobs.sites.engine import partitions
from lawnmap.jobs.sites.folders import Wanted
from lawnmap.jobs.sites.planned import Trouble
from lawnmap.jobs.sites.run import Reply
from lawnmap.jobs.sites.table import marked, results
from lawnmap.jobs.sites.table import run as tables
from lawnmap.jobs.sites.table.laying import NOTHING_MAPPED
from lawnmap.jobs.sites.table.run import Asked, run

DEPOT = Path(__file__).resolve().parents[4] / "sample_geo" / "site"
CHOICES = Path(__file__).with_name("verges.toml")
TODAY = dt.date(2026, 9, 1)
ZONES, A_SITE = 240, 4


class Heard:
    """Counts what a run says of how far it is."""

    def __init__(self) -> None:
        self.begun: list[tuple[int, int]] = []
        self.finished = 0

    def begin(self, sites: int, kept: int) -> None:
        self.begun.append((sites, kept))

    def done(self, trouble: Trouble | None) -> None:
        assert trouble is None
        self.finished += 1


def _zones() -> gpd.GeoDataFrame:
    rng = np.random.default_rng(8)
    number = np.arange(ZONES)
    west, south = -3 + 0.001 * number, 51 + 0.02 * (number // A_SITE)
    side = rng.uniform(5, 40, ZONES) / 111_320
    return gpd.GeoDataFrame(
        {
            "zone_id": [f"z{each % A_SITE}" for each in number],
            "site_id": [f"site {each // A_SITE:02d}" for each in number],
            "region": np.where(number < ZONES / 2, "north", "south"),
            "MOSS": rng.integers(0, 6, ZONES).astype(float),
            "thatch_rating": rng.integers(0, 4, ZONES).astype(float),
        },
        geometry=shapely.box(west, south, west + side * 1.6, south + side),
        crs="OGC:CRS84",
    )


@pytest.fixture(scope="module")
def table(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("table") / "verges.parquet"
    _zones().to_parquet(path)
    return path


def _run(source: Path, out: Path, **asked: object) -> Reply:
    choices = {"choices": CHOICES, "rename": {"moss_rating": "MOSS"}} | asked
    wanted = Wanted(TODAY, Path("nowhere"), DEPOT)
    return run(source, out, wanted, Asked(**choices), Heard())  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def made(table: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Reply, Path]:
    out = tmp_path_factory.mktemp("runs") / "out"
    return _run(table, out), out


def test_every_site_and_zone_is_there(made: tuple[Reply, Path]) -> None:
    reply, out = made
    sites = reply.tables["sites"]
    assert len(sites) == ZONES / A_SITE
    assert sites["zones"].sum() == ZONES
    zones = gpd.read_parquet(out / "tables" / "zones")
    assert len(zones) == ZONES
    assert zones.crs == "OGC:CRS84"
    np.testing.assert_allclose(
        math.fsum(zones["ground_area_m2"]), math.fsum(sites["ground_area_m2"]), rtol=1e-12
    )
    assert NOTHING_MAPPED in reply.notes
    assert {path.name for path in reply.files} >= {"sites.csv", "totals.csv", "map.html"}
    assert all(path.exists() for path in reply.files)


def test_areas_are_those_of_the_ellipsoid(made: tuple[Reply, Path]) -> None:
    from geographiclib.geodesic import Geodesic  # C. F. F. Karney's own code

    _, out = made
    zones = gpd.read_parquet(out / "tables" / "zones").iloc[::40]
    for outline, area in zip(zones.geometry, zones["plan_area_m2"], strict=True):
        polygon = Geodesic.WGS84.Polygon()
        for longitude, latitude in outline.exterior.coords[:-1]:
            polygon.AddPoint(latitude, longitude)
        assert math.isclose(abs(polygon.Compute()[2]), area, rel_tol=1e-8, abs_tol=1e-4)


def test_totals_of_regions_are_the_sums_of_their_sites(made: tuple[Reply, Path]) -> None:
    reply, _ = made
    needs, totals = reply.tables["site_needs"], reply.tables["totals_by"]
    for region in ("north", "south"):
        own = needs[(needs["region"] == region) & (needs["product"] != "")]
        own = own[own["status"] == "do"]
        told = totals[(totals["by"] == "region") & (totals["key"] == region)]
        for product, rows in own.groupby("product"):
            got = told.loc[(told["product"] == product) & (told["status"] == "do"), "amount"]
            assert math.isclose(math.fsum(got), math.fsum(rows["amount"]), rel_tol=1e-12)


def test_small_partitions_come_to_the_same(
    made: tuple[Reply, Path], table: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tables, "PARTITION", 50)
    other = _run(table, tmp_path / "out")
    assert len(partitions.numbers(tmp_path / "out" / "tables")) == 5
    for name in ("sites", "site_needs", "totals_by", "depot_shopping"):
        pd.testing.assert_frame_equal(made[0].tables[name], other.tables[name], rtol=1e-12)


def test_of_very_many_sites_there_are_the_same_sums(
    made: tuple[Reply, Path], table: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(results, "LISTED", 10)
    monkeypatch.setattr(results, "MOST", 20)
    monkeypatch.setattr(tables, "PARTITION", 50)
    few = _run(table, tmp_path / "out").tables
    assert few["sites"]["site_id"].tolist() == ["north/", "south/"]
    assert few["sites"]["zones"].sum() == ZONES
    assert few["site_needs"].empty
    whole = made[0].tables["totals_by"]
    whole = whole[whole["by"] != "site"].reset_index(drop=True)
    pd.testing.assert_frame_equal(few["totals_by"].reset_index(drop=True), whole, rtol=1e-12)
    for name in ("depot_shopping", "depot_machines"):
        pd.testing.assert_frame_equal(few[name], made[0].tables[name], rtol=1e-12)


def test_what_is_done_is_not_done_again(
    table: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tables, "PARTITION", 50)
    out = tmp_path / "out"
    first = _run(table, out)
    kept = out / "tables" / "zones"
    gone, stays = kept / "000002.parquet", kept / "000001.parquet"
    for folder in (out / "tables").iterdir():
        (folder / gone.name).unlink(missing_ok=True) if folder.is_dir() else None
    before = stays.stat().st_mtime_ns
    again = _run(table, out)
    assert gone.exists()
    assert stays.stat().st_mtime_ns == before
    pd.testing.assert_frame_equal(first.tables["site_needs"], again.tables["site_needs"])
    other = _run(table, out, choices=None)  # other choices: everything is worked out anew
    assert stays.stat().st_mtime_ns > before
    assert not other.tables["site_needs"].equals(first.tables["site_needs"])


def test_bad_zones_are_listed_and_stop_nothing(tmp_path: Path) -> None:
    zones = _zones().iloc[:12].copy()
    zones.loc[1, "MOSS"] = 9.0
    crossed = shapely.Polygon([(-3, 51), (-2.99, 51.01), (-2.99, 51), (-3, 51.01)])
    zones.loc[[8, 9, 10, 11], "geometry"] = crossed
    path = tmp_path / "bad.parquet"
    zones.to_parquet(path)
    reply = _run(path, tmp_path / "out")
    told = reply.tables["sites"].set_index("site_id")["trouble"]
    assert "moss_rating" in told["site 00"]
    assert told["site 01"] == ""
    assert "crosses itself" in told["site 02"]
    assert reply.tables["sites"].set_index("site_id").loc["site 00", "zones"] == A_SITE - 1
    listed = pd.read_csv(tmp_path / "out" / "skipped.csv")
    assert len(listed) == 5
    assert {each.site_id for each in reply.troubles} == {"site 00", "site 02"}


def test_results_are_not_put_over_what_is_not_ours(table: Path, tmp_path: Path) -> None:
    own = tmp_path / "out" / "tables"
    own.mkdir(parents=True)
    (own / "accounts.xlsx").write_text("mine")
    wanted = Wanted(TODAY, Path("nowhere"), DEPOT)
    asked = Asked(rename={"moss_rating": "MOSS"})
    with pytest.raises(UsageProblem, match="holds something else"):
        run(table, tmp_path / "out", wanted, asked, Heard(), force=True)
    assert (own / "accounts.xlsx").read_text() == "mine"


def test_a_run_stopped_while_it_cleared_away_leaves_nothing_out(
    made: tuple[Reply, Path], table: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tables, "PARTITION", 50)
    out = tmp_path / "out"
    _run(table, out)

    def stopped(folder: Path) -> None:
        for path in list(folder.rglob("*.parquet"))[:3]:
            path.unlink()
        raise KeyboardInterrupt

    with monkeypatch.context() as broken:
        broken.setattr(marked, "shutil", SimpleNamespace(rmtree=stopped))
        wanted = Wanted(TODAY, Path("nowhere"), DEPOT, afresh=True)
        with pytest.raises(KeyboardInterrupt):
            run(table, out, wanted, Asked(rename={"moss_rating": "MOSS"}), Heard())
    again = _run(table, out)
    assert again.tables["sites"]["zones"].sum() == ZONES
    pd.testing.assert_frame_equal(again.tables["sites"], made[0].tables["sites"], rtol=1e-12)


def test_choices_for_single_zones_are_refused(table: Path, tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text('[zones.z0]\niron = "not on this site"\n')
    with pytest.raises(InputRefused, match="choices for single zones"):
        _run(table, tmp_path / "out", choices=path)


def test_the_shed_of_one_depot_is_not_counted_for_two(tmp_path: Path) -> None:
    zones = _zones().iloc[:40].copy()
    zones["depot"] = np.where(zones.index < 20, "yard", "mill")
    path = tmp_path / "two.parquet"
    zones.to_parquet(path)
    shopping = _run(path, tmp_path / "out").tables["depot_shopping"]
    assert set(shopping["depot"]) == {"yard", "mill"}
    assert shopping["stock"].fillna(0.0).eq(0.0).all()
