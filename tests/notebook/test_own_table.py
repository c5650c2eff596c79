"""A GeoDataFrame of one's own becomes a site by the door of every plan, or is refused in words."""

import datetime as dt

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely
from pyproj import Geod

import lawnmap
from lawnmap import errors

UTM = "EPSG:32630"
NAMES = {"PLOT": "zone_id", "MOSS": "moss_rating", "THATCH": "thatch_rating"}
pytestmark = pytest.mark.filterwarnings("ignore::lawnmap.Note")


def plots(**columns):
    given = {"PLOT": ["A", "B"], "MOSS": [4, 1], "THATCH": [2, 1], **columns}
    east = [500_000, 500_045]
    return gpd.GeoDataFrame(
        given, geometry=[shapely.box(x, 5_700_000, x + 40, 5_700_025) for x in east], crs=UTM
    )


def read(table, **given):
    return lawnmap.read(table, rename=NAMES, today="2026-09-07", **given)


def refusal(table, **given):
    with pytest.raises(lawnmap.LawnmapError) as refused:
        lawnmap.read(table, today="2026-09-07", **given)
    assert "\n" not in str(refused.value)
    assert refused.value.remedy
    return refused.value


def test_own_names_and_a_national_grid_give_true_areas():
    site = read(plots(), title="Plots")
    zones = site.zones.pipe(lawnmap.measure, site)
    corners = [shapely.get_coordinates(each)[:-1] for each in plots().to_crs(4326).geometry]
    true = [abs(Geod(ellps="WGS84").polygon_area_perimeter(*xy.T)[0]) for xy in corners]
    assert zones["plan_area_m2"].to_list() == pytest.approx(true, rel=1e-7)
    assert zones["moss_rating"].to_dict() == {"A": 4.0, "B": 1.0}
    assert site.title == "Plots"
    assert site.folder is None


@pytest.mark.parametrize("crs", ["EPSG:4326", "EPSG:3035", "EPSG:27700", "ESRI:102013"])
def test_the_same_ground_in_any_crs_is_the_same_plan(crs):
    at_home, elsewhere = (read(each) for each in (plots(), plots().to_crs(crs)))
    areas = [
        each.zones.pipe(lawnmap.measure, each)["plan_area_m2"] for each in (at_home, elsewhere)
    ]
    assert areas[1].to_list() == pytest.approx(areas[0].to_list(), rel=4e-5)  # a shift of datum


def test_a_plan_comes_of_it_with_what_else_is_mapped_there():
    water = gpd.GeoDataFrame(
        {"feature": ["water"]}, geometry=[shapely.box(500_010, 5_700_010, 500_015, 5_700_015)],
        crs=UTM,
    )  # fmt: skip
    both = pd.concat([plots(), water], ignore_index=True)
    plan = lawnmap.plan(read(both), setting_out=False)
    assert plan.zones.loc["A", "obstacle_area_m2"] == pytest.approx(25, abs=0.1)
    assert set(plan.steps["zone_id"]) == {"A", "B"}


def test_an_index_called_zone_id_is_kept():
    indexed = plots().set_index("PLOT")
    assert list(read(indexed).zones.index) == ["A", "B"]


def test_cells_of_pandas_become_plain_facts():
    table = plots(
        fed_last=pd.to_datetime(["2026-03-01", None]),
        notes_of_mine=pd.Categorical(["dry", "wet"]),
        bare_pct=pd.array([10, pd.NA], dtype="Int64"),
        sown_last=[dt.date(2025, 9, 1), None],
        slope_seen_deg=np.array([2.5, np.nan], dtype="float32"),
    )
    zones = read(table).zones
    assert zones.loc["A", ["fed_last", "sown_last"]].to_list() == ["2026-03-01", "2025-09-01"]
    assert zones["bare_pct"].fillna(-1).to_list() == [10, -1]
    assert zones["slope_seen_deg"].fillna(-1).to_list() == [2.5, -1]


def test_without_a_crs_it_is_asked_for():
    bare = plots().set_crs(None, allow_override=True)
    error = refusal(bare, rename=NAMES)
    assert isinstance(error, errors.CRSNeeded)
    assert "crs=" in error.remedy
    assert "--" not in str(error)
    site = read(bare, crs=UTM)
    assert list(site.zones.index) == ["A", "B"]
    local = read(bare, crs="local")
    assert not local.placed


@pytest.mark.parametrize(
    ("table", "said"),
    [
        (plots().set_crs("EPSG:4326", allow_override=True), "metres: set its own with set_crs"),
        (plots(MOSS=[4, 7]), 'row 2 "B": moss_rating is 7, outside 0 to 5'),
        (plots(MOSS=[4, 2.5]), 'row 2 "B": moss_rating is 2.5; a class is a whole number'),
        (plots(MOSS=["much", 1]), 'row 1 "A": moss_rating: '),
        (plots(turf_type=["meadow", "verge"]), 'row 1 "A": turf_type is \'meadow\''),
        (plots(PLOT=["A", "a"]), "zone_id 'a' stands twice"),
        (plots(PLOT=["A", "no good"]), "row 2"),
        (plots(fed_last=["soon", None]), "fed_last is 'soon'"),
        (plots().set_geometry([shapely.Point(0, 0), None], crs=UTM), "row 1"),
        (plots().drop(columns="MOSS"), "has no column 'MOSS' to rename"),
        (plots(moss_rating=[1, 2]), "two columns called 'moss_rating'"),
        (plots().rename_geometry("shape").drop(columns="shape"), "not a DataFrame. Read"),
        (plots().iloc[:0], "no feature in it has a geometry"),
        ([1, 2], "is a path or a GeoDataFrame, not a list"),
        (plots().set_geometry(
            [shapely.Polygon([(0, 0), (9, 9), (9, 0), (0, 9)]), shapely.box(0, 0, 1, 1)], crs=UTM
        ), "row 1"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_with_its_row(table, said):
    assert said in str(refusal(table, rename=NAMES))


def test_a_frame_without_an_active_geometry_is_told():
    bare = gpd.GeoDataFrame({"PLOT": ["A"]})
    assert "no active geometry" in str(refusal(bare))


def test_a_row_without_a_shape_is_left_out_and_said():
    table = plots().set_geometry([shapely.Polygon(), shapely.box(0, 0, 9, 9)], crs=UTM)
    with pytest.warns(lawnmap.Note, match=r'row 1 "A"') as notes:
        site = read(table)
    assert list(site.zones.index) == ["B"]
    assert [str(each.message) for each in notes] == list(site.warnings)


def test_bad_rows_are_left_out_when_asked():
    with pytest.warns(lawnmap.Note, match=r'Left out: row 2 "B": moss_rating is 7'):
        site = read(plots(MOSS=[4, 7]), skip_bad=True)
    assert list(site.zones.index) == ["A"]


def test_it_is_merged_into_a_site_folder_and_saved(tmp_path):
    lawnmap.start(tmp_path / "plots", title="Plots")
    read(plots(), into=tmp_path / "plots")
    again = read(plots(MOSS=[5, 1]), into=tmp_path / "plots")
    there = lawnmap.open_site(tmp_path / "plots")
    assert again.revision == there.revision == 3
    assert there.zones["moss_rating"].to_dict() == {"A": 5.0, "B": 1.0}
    assert there.title == "Plots"


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"layer": "lawns"}, "layer= and control= are for files"),
        ({"today": "soon"}, "'soon' is not a date"),
        ({"units": "miles"}, "units= is 'miles'"),
        ({"kind": "meadow"}, "It can be: zone"),
        ({"into": "no such folder"}, "no such folder"),
        ({"crs": "EPSG:27700"}, "is in EPSG:32630, and crs= says 'EPSG:27700'"),
    ],
)
def test_arguments_are_checked(given, said):
    with pytest.raises(lawnmap.LawnmapError) as refused:
        lawnmap.read(plots(), rename=NAMES, **given)
    assert said in str(refused.value)


def test_a_worked_table_goes_back_as_facts_alone():
    site = read(plots())
    zones = site.zones.pipe(lawnmap.measure, site).assign(moss_rating=[5, 5])
    other = site.with_zones(zones)
    assert other.zones["moss_rating"].to_list() == [5, 5]
    assert site.zones["moss_rating"].to_list() == [4, 1]
    assert "ground_area_m2" not in other.zones
    fewer = site.with_zones(zones.loc[["B"]])
    assert list(fewer.zones.index) == ["B"]
    blank = site.with_zones(zones.assign(moss_rating=np.nan))
    assert blank.zones["moss_rating"].isna().all()
    with pytest.raises(lawnmap.InputRefused, match=r'row 1 "A": moss_rating is 9'):
        site.with_zones(zones.assign(moss_rating=9))


def test_an_index_that_lost_its_name_keeps_the_ids_and_what_is_chosen_for_them():
    site = lawnmap.sample(today="2026-09-07")
    one = site.zones.iloc[[0]].rename(index={site.zones.index[0]: "new"}).rename_axis(None)
    joined = pd.concat([site.zones.iloc[1:], one])
    assert joined.index.name is None
    made = site.with_zones(joined)
    assert list(made.zones.index) == list(joined.index)
    assert made.specification.by_zone == site.specification.by_zone


@pytest.mark.parametrize(
    "day", [dt.date(2026, 9, 7), "2026-09-07", pd.Timestamp("2026-09-07 10:00")]
)
def test_the_day_may_be_said_in_three_ways(day):
    assert lawnmap.sample(today=day).today == dt.date(2026, 9, 7)


def test_a_day_or_a_title_that_cannot_be_meant_is_refused(tmp_path):
    with pytest.raises(lawnmap.LawnmapError, match="20260907 is not a date"):
        lawnmap.sample(today=20260907)
    lawnmap.start(tmp_path / "garden")
    with pytest.raises(lawnmap.LawnmapError, match="title= is for"):
        lawnmap.read(plots(), rename=NAMES, kind="zone", into=tmp_path / "garden", title="New")
