"""What else is mapped on the sites of a table: each site is as in a plan of its own."""

from __future__ import annotations

import datetime as dt
import shutil
from dataclasses import replace
from pathlib import Path

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.jobs.beginning import treatments
from lawnmap.jobs.choices import choices
from lawnmap.jobs.measure import outline_sigmas
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.sites.folders import Wanted
from lawnmap.jobs.sites.planned import Trouble
from lawnmap.jobs.sites.run import Reply
from lawnmap.jobs.sites.table import run as tables
from lawnmap.jobs.sites.table.laying import NOTHING_MAPPED, Reading
from lawnmap.processing.judgement.choose import choose
from lawnmap.processing.measure import measure
from lawnmap.processing.setting_out.blade_strips import blade_strips
from lawnmap.processing.setting_out.strips import strips
from lawnmap.processing.steps import steps
from lawnmap.processing.sun.used import used

CHOICES = Path(__file__).with_name("verges.toml")
SAMPLE = Path(__file__).resolve().parents[4] / "sample_geo" / "site"
TODAY = dt.date(2026, 9, 1)
SITES, A_SITE = 12, 3
DEG = 1 / 111_320


class Quiet:
    """Hears how far a run is, and says nothing."""

    def begin(self, sites: int, kept: int) -> None:
        """Begin."""

    def done(self, trouble: Trouble | None) -> None:
        """Take no trouble."""
        assert trouble is None


def _frame(rows: list[dict[str, object]]) -> gpd.GeoDataFrame:
    return gpd.GeoDataFrame(rows, crs="OGC:CRS84")


def _zones() -> gpd.GeoDataFrame:
    rng = np.random.default_rng(6)
    return _frame([
        {
            "site_id": f"s{site:02d}",
            "zone_id": f"z{number}",
            "moss_rating": float(rng.integers(0, 6)),
            "thatch_rating": float(rng.integers(0, 4)),
            "geometry": shapely.box(west, south, west + 30 * DEG, south + 15 * DEG),
        }
        for site in range(SITES)
        for number in range(A_SITE)
        for west, south in [(-3 + 0.001 * number, 51 + 0.02 * site)]
    ])  # fmt: skip


def _features() -> gpd.GeoDataFrame:
    """Return three things in each zone, and on some sites what concerns the whole of them."""
    rows: list[dict[str, object]] = []
    for zone in _zones().to_dict("records"):
        west, south, _, _ = zone["geometry"].bounds
        place = shapely.points(west + np.array([6, 14, 22]) * DEG, south + 7 * DEG)
        number = int(zone["site_id"][1:])
        kinds: list[dict[str, object]] = [
            {"feature": "bed", "geometry": place[0].buffer(2 * DEG)},
            {"feature": "tree", "stem_m": 0.4, "geometry": place[1]},
            {"feature": "paving", "geometry": place[2].buffer(DEG)},
        ]
        if number % 5 == 1 and zone["zone_id"] == "z0":
            kinds.append({"feature": "water", "geometry": place[2].buffer(3 * DEG)})
        if number % 5 == 2 and zone["zone_id"] == "z1":
            kinds.append({"feature": "drain", "geometry": place[2]})
        if number % 7 == 3 and zone["zone_id"] == "z1":
            kinds.append({"feature": "access", "width_m": 0.5, "geometry": place[0]})
        if number % 6 == 4:
            line = shapely.LineString([(west, south), place[2]])
            kinds.append({"feature": "hidden", "hidden_kind": "cable", "geometry": line})
        if number == 5 and zone["zone_id"] == "z2":
            kinds.append({"feature": "core", "thatch_mm": 22.0, "zone_id": "z2",
                          "geometry": place[1]})  # fmt: skip
        rows += [{"site_id": zone["site_id"], **each} for each in kinds]
    return _frame(rows).sample(frac=1, random_state=1).reset_index(drop=True)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("tables")
    _zones().to_parquet(folder / "zones.parquet")
    _features().rename(columns={"feature": "KIND"}).to_parquet(folder / "things.parquet")
    return folder


def _run(folder: Path, out: Path, things: str = "things.parquet") -> Reply:
    rename = {"feature": "KIND"} if things == "things.parquet" else None
    asked = tables.Asked(choices=CHOICES, features=Reading(folder / things, rename=rename))
    wanted = Wanted(TODAY, Path("nowhere"), SAMPLE)
    return tables.run(folder / "zones.parquet", out, wanted, asked, Quiet())


@pytest.fixture(scope="module")
def made(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Reply, Path]:
    out = tmp_path_factory.mktemp("runs") / "out"
    return _run(folder, out), out


def _alone(site_id: str) -> tuple[gpd.GeoDataFrame, pd.DataFrame]:
    """Return zones and steps of one site, as a plan of it has them before its days."""
    typed = {each.name: each.dtype for each in schema.facts("features")}
    things = _features().query("site_id == @site_id").reset_index(drop=True)
    for name, dtype in typed.items():
        things[name] = things[name].astype(dtype) if name in things else pd.Series(dtype=dtype)
    zones = _zones().query("site_id == @site_id").set_index("zone_id")
    for column in schema.facts("zones"):
        if column.name not in zones and column.name != "zone_id":
            zones[column.name] = pd.Series(index=zones.index, dtype=column.dtype)
    found = choices(open_site(SAMPLE), depot=None, personal=Path("nowhere"), today=TODAY)
    specification = replace(found, by_zone={})
    measured = measure(zones, things, outline_sigmas())
    lit = used(measured.zones, things, None, ())
    stripped, _ = strips(lit.zones, measured.lawn, things, specification)
    chosen = choose(stripped, things, specification, None)
    judged, _ = blade_strips(chosen, measured.lawn, things, specification)
    return judged, steps(judged, specification, treatments(specification))


def test_each_site_is_as_in_a_plan_of_its_own(made: tuple[Reply, Path]) -> None:
    reply, out = made
    zones = gpd.read_parquet(out / "tables" / "zones").set_index(["site_id", "zone_id"])
    needs = reply.tables["site_needs"]
    assert zones["thatch_from"].eq("cores").sum() == 1
    for site_id in ("s00", "s01", "s02", "s03", "s04", "s05"):  # one of each sort
        alone, steps_alone = _alone(site_id)
        here = zones.loc[site_id]
        for column in ("ground_area_m2", "iron_area_m2", "blades_area_m2", "thatch_high_mm"):
            np.testing.assert_allclose(here[column], alone[column], rtol=1e-9, atol=1e-9)
        for column in (
            "thatch_from",
            "water_strip_from",
            "verdict",
            "blades",
            "passes",
            "iron_rule",
            "seed_rule",
        ):
            assert here[column].tolist() == alone[column].tolist(), (site_id, column)
        amount = steps_alone.loc[steps_alone["status"] == schema.DO, "amount"].sum()
        own = needs[(needs["site_id"] == site_id) & (needs["status"] == schema.DO)]
        assert own["amount"].sum() == pytest.approx(amount, rel=1e-9)
        assert (here["ground_area_m2"] < here["outline_area_m2"] - 9).all()


def test_what_is_mapped_and_what_is_not_is_told(made: tuple[Reply, Path]) -> None:
    reply, _ = made
    assert NOTHING_MAPPED not in reply.notes
    count = _features()["feature"].value_counts()
    there = next(note for note in reply.notes if note.startswith("Mapped beside"))
    assert f"tree {count['tree']}" in there
    assert f"water {count['water']}" in there
    nowhere = next(note for note in reply.notes if "not mapped is not known" in note)
    assert "nowhere: building, hedge, fence, supply)" in nowhere


def test_the_order_of_rows_and_the_size_of_partitions_change_nothing(
    made: tuple[Reply, Path], folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tables, "PARTITION", 20)
    _features().iloc[::-1].to_parquet(folder / "turned.parquet")
    other = _run(folder, tmp_path / "out", "turned.parquet")
    assert len(list((tmp_path / "out").rglob("features/*.parquet"))) == 2
    for name in ("sites", "site_needs", "totals_by"):
        pd.testing.assert_frame_equal(made[0].tables[name], other.tables[name], rtol=1e-12)


def test_bad_features_are_listed_and_stop_nothing(
    made: tuple[Reply, Path], folder: Path, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    shutil.copytree(made[1], out)  # what was worked out with other features
    things = _features().query("feature != 'paving'").reset_index(drop=True)
    things.loc[0, "feature"] = "statue"
    things.loc[1, "site_id"] = "nobody"
    site = str(things.loc[0, "site_id"])
    things.to_parquet(folder / "bad.parquet")
    reply = _run(folder, out, "bad.parquet")
    before, after = (each.tables["sites"]["ground_area_m2"].sum() for each in (made[0], reply))
    assert after > before + 50  # worked anew
    listed = pd.read_csv(out / "skipped.csv")
    assert listed["table"].tolist() == ["features"]
    assert listed["row"].tolist() == [1]
    assert [each.site_id for each in reply.troubles] == [site]
    assert str(reply.troubles[0]).count("1 feature left out: row 1: feature is 'statue'") == 1
    assert len(reply.tables["sites"]) == SITES
    assert any("1 features are of sites without zones" in each for each in reply.notes)
    zones = gpd.read_parquet(out / "tables" / "zones")
    own = zones["site_id"] == site  # what was left out there may be water
    assert zones.loc[own, "iron_area_m2"].eq(0).all()
    assert zones.loc[own, "water_strip_from"].eq("not set").all()
    assert not zones.loc[~own, "water_strip_from"].eq("not set").any()
    needs = reply.tables["site_needs"]
    fed = needs[(needs["site_id"] == site) & needs["operation"].isin(["iron_soluble", "feeding"])]
    assert set(fed["status"]) == {"not set: do not apply"}


def test_a_feature_that_names_no_site_may_be_water(folder: Path, tmp_path: Path) -> None:
    things = _features()
    things.loc[2, "site_id"] = None
    things.to_parquet(folder / "nobody.parquet")
    with pytest.raises(InputRefused, match=r"row 3 is left out .* may be water"):
        _run(folder, tmp_path / "out", "nobody.parquet")
