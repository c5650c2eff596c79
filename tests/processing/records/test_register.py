"""A year of the record for whoever asks: nothing taken back is hidden, and law is named."""

from lawnmap.processing.records.register import HEADS, Ground, empty, table

# Regulation (EC) No 1107/2009, Article 67, as recited in Regulation (EU) 2023/564 (EUR-Lex): name
# of the product, time, dose, area and crop.
ARTICLE_67 = {"product", "date", "start_time", "dose", "area_m2", "zone_id", "crop"}
ZONES = {"a": Ground("Front", "general lawn", "1.9", "53.4")}


def row(record_id, date, operation="iron_soluble", **cells):
    return {"record_id": record_id, "date": date, "operation": operation, "zone_id": "a", **cells}


def lines(rows, year=2026):
    head, *found = table(rows, year, ZONES)
    assert head == list(HEADS.values())
    return [dict(zip(HEADS, line, strict=True)) for line in found]


def test_the_fields_that_law_names_are_named():
    named = {name for name, head in HEADS.items() if "1107/2009 art. 67" in head}
    assert named == ARTICLE_67
    assert "2023/564" in HEADS["authorisation_no"]
    assert "check your local list" in HEADS["certificate_no"]


def test_a_register_has_the_year_by_day_with_crop_and_place():
    rows = [row("b", "2026-09-14"), row("c", "2027-01-01"), row("a", "2026-03-01", zone_id="x")]
    first, second = lines(rows)
    assert (first["record_id"], first["crop"], first["longitude"]) == ("a", "", "")
    assert (second["record_id"], second["crop"], second["latitude"]) == (
        "b", "general lawn", "53.4",
    )  # fmt: skip


def test_what_was_taken_back_stays_and_says_why():
    back = {"record_id": "z", "operation": "", "cancels": "a", "reason": "wrong zone"}
    (line,) = lines([row("a", "2026-03-01"), {**back, "date": "2027-02-01", "zone_id": "a"}])
    assert line["state"] == "taken back"
    assert (line["taken_back_by"], line["taken_back_for"]) == ("z", "wrong zone")


def test_empty_fields_are_asked_for_by_what_was_done():
    assert {"product", "dose", "water_l"} <= set(empty(row("a", "2026-03-01")))
    assert "water_l" not in empty(row("a", "2026-03-01", "lawn_sand"))
    assert empty(row("a", "2026-03-01", "mowing")) == []
    assert "certificate_no" in empty(row("a", "2026-03-01", "other", authorisation_no="1"))
    assert empty(row("a", "2026-03-01", "clearing", waste_l="3")) == ["waste_note_no"]
