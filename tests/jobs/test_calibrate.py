"""A calibration is worked out, told, and kept in the depot; nothing else is touched."""

import datetime as dt

import pytest

from lawnmap.errors import InputRefused
from lawnmap.jobs.calibrate import Setup, calibrate, where
from lawnmap.store import calibrations

DAY = dt.date(2027, 3, 1)
STRIP = {"width": "1 m", "length": "10 m", "caught": "400 ml", "time": "12 s"}
TRAY = {"width": "0.5 m", "length": "20 m", "wanted": "30 g/m2"}


def test_a_knapsack(tmp_path):
    (tmp_path / "machines.toml").write_text("# mine\n", encoding="utf-8")
    setup = Setup("Knapsack", operator="Sam", nozzle="red 03", pressure="14.5 psi")
    reply = calibrate("knapsack", STRIP, setup, depot=tmp_path, day=DAY)
    assert reply.saved == tmp_path / "calibration.csv"
    assert reply.found.said[0] == "It puts on 0.04 l/m² (400 l/ha)."
    (row,) = calibrations.read(tmp_path)
    assert row["water_l_m2"] == "0.04"
    assert row["speed_km_h"] == "3"
    assert float(row["pressure_bar"]) == pytest.approx(1, abs=1e-3)  # 14.5 psi is 1 bar
    assert (row["date"], row["rate_g_m2"]) == ("2027-03-01", "")
    assert row["measured"] == "width 1 m, length 10 m, caught 400 ml, time 12 s"
    assert (tmp_path / "machines.toml").read_text(encoding="utf-8") == "# mine\n"


def test_the_third_test_of_a_spreader_knows_the_first_two(tmp_path):
    def tried(setting, grams):
        setup = Setup("Spreader", setting=setting, product="Moss iron")
        return calibrate("drop", {**TRAY, "caught": grams}, setup, depot=tmp_path, day=DAY).found

    assert tried("4", "250 g").said[-1].endswith("Open it a little and catch again.")
    assert "Try setting 5," in tried("6", "350 g").said[-1]
    assert tried("5", "301 g").good
    assert len(calibrations.read(tmp_path)) == 3
    other = Setup("Spreader", setting="6", product="Lawn sand")
    found = calibrate("drop", {**TRAY, "caught": "350 g"}, other, depot=tmp_path, day=DAY).found
    assert found.said[-1].endswith("Close it a little and catch again.")


def test_a_dial_with_letters(tmp_path):
    setup = Setup("Spreader", setting="K")
    reply = calibrate("drop", {**TRAY, "caught": "350 g"}, setup, depot=tmp_path, day=DAY)
    assert reply.row["setting"] == "K"


def test_looking_only(tmp_path):
    reply = calibrate("knapsack", STRIP, Setup("Can"), depot=tmp_path, day=DAY, dry_run=True)
    assert reply.saved is None
    assert list(tmp_path.iterdir()) == []
    assert calibrate("knapsack", STRIP, Setup("Can"), depot=None, day=DAY, dry_run=True).row


def test_what_cannot_be_kept(tmp_path):
    with pytest.raises(InputRefused, match="no depot"):
        calibrate("knapsack", STRIP, Setup("Can"), depot=None, day=DAY)
    with pytest.raises(InputRefused, match="no name"):
        calibrate("knapsack", STRIP, Setup(" "), depot=tmp_path, day=DAY)
    with pytest.raises(InputRefused, match="US or imperial"):
        calibrate("knapsack", {**STRIP, "caught": "2 gal"}, Setup("Can"), depot=tmp_path, day=DAY)
    with pytest.raises(InputRefused, match="not printable"):
        calibrate("knapsack", STRIP, Setup("Can\n"), depot=tmp_path, day=DAY)
    with pytest.raises(InputRefused, match="not a pressure"):
        calibrate("knapsack", STRIP, Setup("C", pressure="2 l"), depot=tmp_path, day=DAY)
    assert list(tmp_path.iterdir()) == []


def test_where_the_depot_is(tmp_path):
    (tmp_path / "products.toml").write_text("", encoding="utf-8")
    (tmp_path / "garden").mkdir()
    assert where(tmp_path / "garden", given=None, personal=tmp_path / "none") == tmp_path


def test_a_machine_that_no_plan_knows_is_told(tmp_path):
    reply = calibrate("knapsack", STRIP, Setup("Old faithful"), depot=tmp_path, day=DAY)
    assert "no machine called 'Old faithful'" in reply.warnings[0]
    assert "'knapsack sprayer, 15 l'" in reply.warnings[0]
    known = calibrate("knapsack", STRIP, Setup("Walk-over boom"), depot=tmp_path, day=DAY)
    assert known.warnings == ()
    card = '[[machine]]\nname = "Old faithful"\nkind = "knapsack"\n'
    (tmp_path / "machines.toml").write_text(card, encoding="utf-8")
    assert calibrate("knapsack", STRIP, Setup("OLD faithful"), depot=tmp_path, day=DAY).saved
    again = calibrate("knapsack", STRIP, Setup("OLD faithful"), depot=tmp_path, day=DAY)
    assert again.warnings == ()
    (tmp_path / "machines.toml").write_text("[[machine]]\n", encoding="utf-8")  # not judged here
    assert calibrate("knapsack", STRIP, Setup("Any"), depot=tmp_path, day=DAY).warnings == ()


@pytest.mark.parametrize(
    ("kind", "given"),
    [
        ("knapsack", {**STRIP, "caught": "400 l"}),
        ("drop", {"width": "0.5 m", "length": "20 m", "caught": "250 kg"}),
    ],
)
def test_a_slip_of_the_decimal_point(tmp_path, kind, given):
    with pytest.raises(InputRefused, match="more than any applicator puts on"):
        calibrate(kind, given, Setup("A"), depot=tmp_path, day=DAY)
    assert list(tmp_path.iterdir()) == []


def test_a_pressure_without_its_unit(tmp_path):
    with pytest.raises(InputRefused, match="names no unit") as error:
        calibrate("knapsack", STRIP, Setup("A", pressure="2"), depot=tmp_path, day=DAY)
    assert error.value.place == "pressure"
    assert list(tmp_path.iterdir()) == []
