"""Work recorded and taken back in a site folder: rows are only ever added."""

import csv
import datetime as dt
import io

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lawnmap.errors import Busy, InputRefused, SiteDamaged
from lawnmap.jobs.assess import assess
from lawnmap.jobs.cancel import cancel
from lawnmap.jobs.choices import choices
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.record import Done, record
from lawnmap.jobs.register import listed, register, write
from lawnmap.jobs.start import start
from lawnmap.processing.records.recorded import live
from lawnmap.store import record as store
from lawnmap.store import site as site_store

TODAY = dt.date(2026, 9, 20)
IRON = "Saltmarsh Moss Iron (invented)"


@pytest.fixture
def garden(tmp_path):
    return start(tmp_path / "garden", sample=True).folder


def chosen(folder):
    opened = open_site(folder.path)
    return opened.site, choices(opened, depot=None, personal=folder.path, today=TODAY)


def done(folder, zone_id="main", operation="iron_soluble", dry_run=False, **given):
    given = {name: str(value) for name, value in given.items()}
    any_product = bool(given.pop("any_product", ""))
    work = Done(zone_id, operation, given, any_product=any_product)
    return record(folder, *chosen(folder), work, today=TODAY, dry_run=dry_run)


def back(folder, record_id, **given):
    return cancel(folder, site_store.load(folder), record_id, given, today=TODAY)


def test_work_is_recorded_with_what_follows_from_it(garden):
    found = done(garden, product=IRON.lower(), amount="562.5 g", area="180 m2", start="8:30")
    assert found.saved
    assert found.revision == site_store.load(garden).revision == 2
    (row,) = store.read(garden).rows
    wanted = {
        "record_id": "work.1", "zone_id": "main", "operation": "iron_soluble",
        "date": "2026-09-20", "amount": "562.5", "unit": "g", "area_m2": "180", "dose": "3.125",
        "dose_unit": "g/m²", "product": IRON, "authorisation_no": "INVENTED 0001",
        "start_time": "08:30",
    }  # fmt: skip
    assert {name: cell for name, cell in row.items() if cell} == wanted
    assert found.how == {
        "date": "today", "authorisation_no": "from its card", "dose": "worked out",
    }  # fmt: skip
    # agronomy.md I7: 3.125 g/m²; of an invented product with 20 % Fe by weight, 0.625 g Fe/m²
    assert found.iron == "Elemental iron on main in 2026: 0.625 g/m² in 1 application."
    assert "certificate_no" in found.empty
    assert found.warnings == ()


def test_seed_inside_the_interval_is_told_with_what_stands_in_the_record(garden):
    done(garden, product=IRON, amount="562.5 g", area="180 m2", date="2026-08-20")
    told = done(garden, operation="overseeding", amount="3 kg", area="100 m2").warnings
    assert told == (
        "Seed on main on 2026-09-20 is 31 days after the iron of 2026-08-20: its label wants 42.",
    )
    back(garden, "work.1", reason="rained off")
    assert done(garden, operation="overseeding", amount="2 kg", area="90 m2").warnings == ()


def test_a_dry_run_saves_nothing(garden):
    assert not done(garden, operation="mowing", dry_run=True).saved
    assert not garden.record.exists()


@pytest.mark.parametrize(
    ("zone_id", "operation", "given", "told"),
    [
        ("mian", "mowing", {}, "Did you mean main"),
        ("all", "mowing", {}, "Record each zone on its own"),
        ("main", "scarify", {}, "Did you mean scarifying"),
        ("main", "other", {}, "what was done is not said"),
        ("main", "iron_soluble", {"product": "Saltmarsh"}, "Did you mean Saltmarsh Moss Iron"),
        ("main", "iron_soluble", {"date": "2026-09-21"}, "after today, 2026-09-20"),
        ("main", "iron_soluble", {"issued": "0123456789ab"}, "no plan was issued yet"),
        ("main", "iron_soluble", {"amuont": "5 g"}, "Did you mean amount"),
    ],
)
def test_what_is_refused_changes_nothing(garden, zone_id, operation, given, told):
    with pytest.raises(InputRefused) as caught:
        done(garden, zone_id, operation, **given)
    assert told in str(caught.value)
    assert not garden.record.exists()
    assert site_store.load(garden).revision == 1


def test_a_zone_is_known_by_its_name_and_a_product_without_a_card_by_request(garden):
    row = done(garden, "Main lawn", "Iron soluble", product="Blue salt", any_product=1).row
    assert (row["zone_id"], row["operation"], row["product"]) == (
        "main", "iron_soluble", "Blue salt",
    )  # fmt: skip


def test_a_row_is_taken_back_once_and_with_a_reason(garden):
    done(garden, operation="mowing")
    before = garden.record.read_bytes()
    for row, said, told in (
        ("work.1", {}, "why work.1 is taken back"),
        ("work.1", {"amount": "3 g", "reason": "x"}, "amount is not asked"),
        ("work.2", {"reason": "x"}, "Did you mean work.1"),
    ):
        with pytest.raises(InputRefused, match=told):
            back(garden, row, **said)
    assert garden.record.read_bytes() == before
    assert back(garden, "work.1", reason="typed twice").row["zone_id"] == "main"
    for row, told in (("work.1", "taken back already, by work.2"), ("work.2", "is no work")):
        with pytest.raises(InputRefused, match=told):
            back(garden, row, reason="x")
    assert garden.record.read_bytes().startswith(before)


STEPS = st.lists(st.one_of(st.just("mowing"), st.just("raking"), st.integers(1, 9)), max_size=8)


@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(steps=STEPS)
def test_any_sequence_keeps_every_earlier_row_and_live_is_what_a_model_says(tmp_path, steps):
    folder = start(tmp_path / f"g{len(list(tmp_path.iterdir()))}", sample=True).folder
    site, used = chosen(folder)
    model, number, data = {}, 0, b""
    for each in steps:
        try:
            if isinstance(each, int):
                found = cancel(folder, site, f"work.{each}", {"reason": "slip"}, today=TODAY)
                del model[f"work.{each}"]
            else:
                found = record(folder, site, used, Done("main", each, {}), today=TODAY)
                model[found.row["record_id"]] = each
        except InputRefused:
            assert f"work.{each}" not in model
            continue
        number += 1
        assert found.row["record_id"] == f"work.{number}"
        site = site_store.load(folder)
        now = folder.record.read_bytes()
        assert now.startswith(data)
        data = now
    rows = live(store.read(folder).rows)
    assert {row["record_id"]: row["operation"] for row in rows} == model


def test_an_old_record_gains_the_columns_with_the_next_row(garden):
    garden.record.write_bytes(
        b"record_id,zone_id,operation,date,weather\na,main,mowing,2026-05-01,dry\n"
    )
    done(garden, operation="raking")
    old, new = store.read(garden).rows
    assert (old["weather"], old["cancels"], new["operation"]) == ("dry", "", "raking")


def test_a_record_with_little_in_it_is_read_all_the_same(garden):
    garden.record.write_bytes(b"record_id\na\n")
    with pytest.raises(InputRefused, match="is no work"):
        back(garden, "a", reason="x")
    with pytest.raises(InputRefused, match="has no row 'b'"):
        back(garden, "b", reason="x")
    assert listed(garden, site_store.load(garden), None).rows == ()
    assert done(garden, product=IRON, amount="10 g", area="10 m2").row["record_id"] == "work.1"


def test_somebody_elses_save_in_between_is_not_overwritten(garden):
    site, used = chosen(garden)
    assess(garden.path, {"main": {"wear": "heavy"}})
    with pytest.raises(Busy):
        record(garden, site, used, Done("main", "mowing", {}), today=TODAY)
    assert not garden.record.exists()


def test_a_damaged_record_is_left_as_it_is_and_a_torn_line_is_kept(garden):
    garden.record.write_bytes(b"x\n")
    with pytest.raises(SiteDamaged):
        done(garden, operation="mowing")
    assert garden.record.read_bytes() == b"x\n"
    garden.record.write_bytes(b"record_id,date\na,2026-05-01\nb")
    assert "record.torn.csv" in done(garden, operation="mowing").warnings[-1]


def test_the_list_has_all_and_says_what_was_taken_back(garden):
    done(garden, operation="mowing", date="2025-05-01")
    done(garden, operation="raking")
    back(garden, "work.2", reason="x")
    site = site_store.load(garden)
    found = listed(garden, site, None)
    assert [row["record_id"] for row in found.rows] == ["work.1", "work.2"]
    assert found.gone["work.2"]["record_id"] == "work.3"
    assert [row["record_id"] for row in listed(garden, site, 2025).rows] == ["work.1"]


def test_the_register_is_a_table_that_runs_no_formula_and_is_the_same_twice(garden, tmp_path):
    done(garden, product=IRON, amount="562.5 g", area="180 m2", operator="=1+1", note="@x")
    data, count, told = register(garden, *chosen(garden), 2026)
    assert (count, told) == (1, ())
    assert register(garden, *chosen(garden), 2026)[0] == data
    # RFC 4180 as the standard library reads it: what a spreadsheet would get
    (row,) = csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline=""))
    assert row["operator (check your local list)"] == "'=1+1"
    assert row["dose (1107/2009 art. 67)"] == "3.125"
    assert row["crop (1107/2009 art. 67)"] == "general lawn"
    assert float(row["place: latitude (EU 2023/564)"]) == pytest.approx(53.4, abs=0.01)
    path = tmp_path / "2026.csv"
    write(data, path, force=False)
    assert path.read_bytes() == data
    with pytest.raises(ValueError, match="is there already"):
        write(data, path, force=False)


def test_rows_that_count_nowhere_are_told(garden):
    garden.record.write_bytes(b"record_id,zone_id,operation,date\na,gone,mowing,2026-05-01\n")
    told = register(garden, *chosen(garden), 2026)[2]
    assert told == ("record.csv, a: there is no zone 'gone': it is counted nowhere.",)
