"""What once went wrong with a file of lawnmap's own, kept as a file and tried again each time."""

from pathlib import Path

import pytest

from lawnmap.jobs.applied import applied
from lawnmap.store import record
from tests.store.facts_use import bench

SEEDS = Path(__file__).parents[1] / "seeds"
TAKEN = ""
# The kind of file, and what is told of each seed; nothing of one that is taken or left out.
OF = {
    "site": "site.geojson", "specification": "specification.toml", "products": "products.toml",
    "record": "record.csv", "sun_cache": "sun cache", "journal": "journal",
    "mark_of_a_run": "mark of a run", "issued_inputs": "inputs.json",
    "assess_sheet": "assess sheet", "calibration": "calibration.csv",
}  # fmt: skip
SAID = {
    "site/ring_flat_in_part.geojson": "point 2: has a height where others have none",
    "site/day_is_a_word.geojson": "fed_last is 'soon', not a day",
    "site/text_is_a_list.geojson": "came_from is ['old'], not text",
    "site/name_is_a_number.geojson": "name is 5, not text",
    "site/surveyed_in_year_1.geojson": "lawnmap.surveyed: is not a day",
    "site/core_without_a_day.geojson": "date is '2027-02-30', not a day",
    "specification/first_day_of_year_1.toml": "first_day: 0001-01-01 is not allowed",
    "specification/last_day_of_year_9999.toml": "last_day: 9999-12-31 is not allowed",
    "specification/last_day_in_a_century.toml": "more than three years after the first day",
    "specification/hours_of_400_digits.toml": "hours_a_day: 1000",
    "specification/table_in_table.toml": "iron: a table is not allowed",
    "specification/basemap_without_https.toml": "basemap.url: is not an address of map tiles",
    "specification/zone_id_with_a_blank.toml": "Use 1 to 32 letters, digits, _ and -",
    "products/stock_of_400_digits.toml": "stock: 1000",
    "record/area_below_zero.csv": TAKEN,
    "record/area_is_no_number.csv": TAKEN,
    "record/id_of_5000_digits.csv": TAKEN,
    "record/wind_without_end.csv": TAKEN,
    "record/cut_in_its_header.csv": "is cut off within its first line",
    "calibration/walk_of_a_billionth.csv": "says '1e-9' km/h",
    "sun_cache/another_hour.json": TAKEN,
    "journal/one_letter.json": "is not as it was written",
    "mark_of_a_run/another_count.json": TAKEN,
    "issued_inputs/a_list.json": TAKEN,
    "assess_sheet/word_that_is_none.csv": "sheet.csv: zone front: drainage is 'slo'",
}


def test_every_seed_is_there():
    there = {path.relative_to(SEEDS).as_posix() for kind in OF for path in (SEEDS / kind).iterdir()}
    assert set(SAID) <= there


@pytest.mark.parametrize("seed", SAID)
def test_what_went_wrong_once_goes_wrong_no_more(seed):
    data = (SEEDS / seed).read_bytes()
    with bench(OF[seed.partition("/")[0]]) as held:
        said = []
        taken = held.take(data, planned=True, said=said)
        assert taken == (SAID[seed] == TAKEN), said
        assert SAID[seed] in "".join(said)


def test_work_on_less_than_no_ground_doubles_no_amount():
    """An area below zero once made the rest of a step larger than the whole."""
    amounts = {}
    with bench("record.csv") as held:
        for name in ("area_below_zero", "area_is_no_number"):
            held.garden.folder.record.write_bytes((SEEDS / f"record/{name}.csv").read_bytes())
            steps = held.garden.planned().steps
            of_iron = (steps["operation"] == "iron_soluble") & (steps["zone_id"] == "front")
            amounts[name] = steps[of_iron]["status"].iloc[0]
    assert set(amounts.values()) == {"done"}


def test_a_plan_from_before_there_was_a_list_may_lack_columns():
    """Nothing tells that such a plan was altered: what it lacks is not known, and is no fault."""
    with bench("plan.json") as held:
        held.path.write_bytes((SEEDS / "issued_plan/steps_without_status.json").read_bytes())
        held.path.with_name("files.json").unlink()
        table = applied(held.garden.folder.path).table
        assert list(table["operation"]) == []


def test_a_last_line_longer_than_any_cell_is_torn_off():
    with bench("record.csv") as held:
        held.garden.folder.record.write_bytes(held.good + b"x" * 200_000)
        found = record.read(held.garden.folder)
        assert (len(found.rows), len(found.torn)) == (4, 200_000)


@pytest.mark.parametrize("name", ["record.csv", "heights.csv", "surface.json", "calibration.csv"])
def test_a_link_that_leads_nowhere_is_not_nothing(name):
    """Rows on a disk that is away were once no rows, and the plan was made without them."""
    with bench(name) as held:
        held.path.unlink()
        held.path.symlink_to("nowhere")
        with pytest.raises(ValueError, match="leads nowhere"):
            held.kind.use(held.garden)
