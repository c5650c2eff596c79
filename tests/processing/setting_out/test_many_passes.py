"""Bouts counted for many zones at once, held against the pass lines of one site."""

import numpy as np
import pandas as pd
import pytest
import shapely

from lawnmap import schema
from lawnmap.geometry.frame import Frame
from lawnmap.model import Machine
from lawnmap.processing.setting_out.many_passes import COLUMNS, many_passes
from lawnmap.processing.setting_out.passes import pass_lines

FRAME = Frame(-1.55, 53.8)
PETROL = Machine("own petrol", "petrol", width_m=0.38, speed_km_h=3.0)
TRACTOR = Machine("own tractor", "tractor", width_m=1.2, speed_km_h=5.0)
RAKE = Machine("own rake", "rake", width_m=0.4)
SHAPES = (
    shapely.box(0, 0, 20, 50),
    shapely.Polygon([(0, 0), (30, 4), (26, 21), (9, 25)]),
    shapely.Polygon([(0, 0), (24, 0), (5, 14)]),
    shapely.box(0, 0, 30, 30) - shapely.box(12, 12, 15, 16),
    shapely.box(0, 0, 0.3, 20),
    shapely.box(0, 0, 15, 7),
)
HOLLOW = "z3"


class Zones:
    """Zones of every shape with blades chosen, and the lines that one site would have."""

    def __init__(self, lawn, machines, zone, own):
        ids = [f"z{place}" for place in range(len(SHAPES))]
        one = lawn.zones({"zone_id": "a"}).loc[["a"] * len(ids)]
        shapes = FRAME.round(np.array(SHAPES, dtype=object))
        self.zones = (
            one.set_axis(ids)
            .set_geometry(list(shapes))
            .assign(
                blades=[each.name for each in machines],
                blades_kind=[each.kind for each in machines],
                **{"crossing_rule": "crossing_single", "slope_deg": 0.0} | (zone or {}),
            )
        )
        self.specification = lawn.choices(
            own=[PETROL, TRACTOR, RAKE], pass_lines=own.get("all", {}), zones=own.get("zones")
        )
        self.features = lawn.features()

    def counted(self):
        return many_passes(self.zones, self.zones.geometry, self.specification)

    def laid(self):
        steps = pd.DataFrame(
            {
                "zone_id": self.zones.index, "operation": "scarifying", "kind": "blades",
                "sequence": 3, "status": schema.DO, "machine": self.zones["blades"].to_numpy(),
                "passes": 1.0, "area_m2": 1e4, "machine_hours": 1.0, "hours": 1.0,
            }
        )  # fmt: skip
        layers = {"lawn": self.zones[["geometry"]]}
        found = pass_lines(self.zones, steps, layers, self.features, self.specification)
        return found.passes.set_index("zone_id").reindex(self.zones.index)


@pytest.fixture
def made(lawn):
    def make(machines=None, zone=None, **own):
        return Zones(lawn, machines or [PETROL] * len(SHAPES), zone, own)

    return make


def held_against(zones):
    found, laid = zones.counted(), zones.laid()
    assert found["bouts_heading_deg"].to_numpy() == pytest.approx(
        laid["heading_deg"].to_numpy(), abs=0.01, nan_ok=True
    )
    for mine, exact in (("bouts", "bouts"), ("bouts_turns", "turns")):
        differs = found[mine].fillna(0) - laid[exact].fillna(0)
        assert (differs.drop(HOLLOW) == 0).all()
        assert 0 <= differs[HOLLOW] <= 2  # the exact setting out searches for fewer
    assert found["bouts_m"].fillna(0).to_numpy() == pytest.approx(
        laid["length_m"].fillna(0).to_numpy(), rel=2e-3
    )
    return found


def test_the_lines_are_those_of_one_site(made):
    found = held_against(made())
    assert found["bouts"].iloc[0] == 57
    assert np.isnan(found["bouts_heading_deg"].iloc[4])  # narrower than the machine
    assert found["bouts_m"].iloc[4] == 0


def test_each_zone_has_its_own_machine(made):
    found = held_against(made((PETROL, TRACTOR, RAKE, TRACTOR, PETROL, RAKE)))
    assert found.loc[["z2", "z5"], list(COLUMNS)].isna().all(axis=None)
    assert found.loc["z3", "bouts"] <= 31


def test_ones_own_heading_and_overlap(made):
    zones = made(
        all={"heading_deg": 12.0, "overlap_pct": 0.0},
        zones={"z1": {"pass_lines": {"heading_deg": 100.0, "overlap_pct": 20.0}}},
    )
    found = held_against(zones)
    assert found["bouts_heading_deg"].iloc[[0, 1, 3]].tolist() == [12, 100, 12]


@pytest.mark.parametrize("rule", ["crossing_single", "crossing_acute"])
def test_on_a_bank_lines_run_along_its_long_side(made, rule):
    found = held_against(made(zone={"slope_deg": 12.0, "crossing_rule": rule}))
    side = 90 if rule == "crossing_single" else 75
    assert found["bouts_heading_deg"].iloc[5] == pytest.approx(side, abs=0.01)


def test_ground_that_is_kept_clear_has_no_bouts(made):
    zones = made()
    table = zones.zones.assign(blades_area_m2=[100.0, 0.0, *[100.0] * 4])
    found = many_passes(table, table.geometry, zones.specification)
    assert found.loc["z1", list(COLUMNS)].isna().all()
    assert found.loc["z0", "bouts"] > 0


def test_no_zone_at_all(made):
    zones = made()
    none = zones.zones.iloc[:0]
    found = many_passes(none, none.geometry, zones.specification)
    assert list(found.columns[-len(COLUMNS) :]) == list(COLUMNS)
    assert found.empty
