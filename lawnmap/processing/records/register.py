"""The register: one year of the record as a table for whoever asks for it, with what law names.

Article 67 of Regulation (EC) No 1107/2009 names product, time, dose, area and crop; it holds in the
EU and, as kept law, in the UK. Regulation (EU) 2023/564 adds authorisation number, place and the
EPPO code of the crop, and is staged by country. What else is asked for is local.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from lawnmap.processing.records.recorded import Row, counts_as, day, taken_back

ARTICLE_67 = "1107/2009 art. 67"
EU_2023 = "EU 2023/564"
LOCAL = "check your local list"
STANDS, BACK = "stands", "taken back"

# Column and head, in the order of the table.
HEADS = {
    "state": "state",
    "record_id": "record_id",
    "date": f"date ({ARTICLE_67})",
    "start_time": f"start time ({ARTICLE_67})",
    "end_time": "end time",
    "zone_id": f"area: zone ({ARTICLE_67})",
    "zone_name": "zone's name",
    "area_m2": f"area treated m² ({ARTICLE_67})",
    "crop": f"crop ({ARTICLE_67})",
    "longitude": f"place: longitude ({EU_2023})",
    "latitude": f"place: latitude ({EU_2023})",
    "operation": "operation",
    "application": "application",
    "product": f"product ({ARTICLE_67})",
    "authorisation_no": f"authorisation number ({EU_2023})",
    "batch": f"batch ({LOCAL})",
    "dose": f"dose ({ARTICLE_67})",
    "dose_unit": "unit of the dose",
    "amount": "amount",
    "unit": "unit of the amount",
    "water_l": f"water l ({LOCAL})",
    "applicator": f"applicator ({LOCAL})",
    "nozzle": "nozzle",
    "pressure_bar": "pressure bar",
    "wind_force": f"wind force, Beaufort ({LOCAL})",
    "wind_from": f"wind from ({LOCAL})",
    "air_temp_c": f"air °C ({LOCAL})",
    "ground": f"ground ({LOCAL})",
    "operator": f"operator ({LOCAL})",
    "certificate_no": f"operator's certificate ({LOCAL})",
    "reason": f"reason ({LOCAL})",
    "keep_off_until": f"keep off until ({LOCAL})",
    "waste_l": f"waste l ({LOCAL})",
    "waste_note_no": f"waste note ({LOCAL})",
    "note": "note",
    "by": "entered by",
    "issued_id": "issued plan",
    "reply_id": "reply",
    "taken_back_by": "taken back by",
    "taken_back_for": "taken back because",
}
NUMBERS = (
    "area_m2", "longitude", "latitude", "dose", "amount", "water_l", "pressure_bar", "wind_force",
    "air_temp_c", "waste_l",
)  # fmt: skip
NOT_IN_IT = (
    "Not in it: the EPPO code of the crop, and what your country asks for beside it: check your "
    "local list, and how long it has to be kept."
)

# What may be asked of a piece of work: all of it for a plant protection product.
_APPLIED = (
    "start_time", "product", "authorisation_no", "batch", "dose", "area_m2", "water_l",
    "applicator", "wind_force", "wind_from", "air_temp_c", "ground", "operator", "certificate_no",
    "reason", "keep_off_until",
)  # fmt: skip
_ASKED = {
    "iron": _APPLIED,
    "feed": ("product", "dose", "area_m2", "operator"),
    "lime": ("product", "dose", "area_m2", "operator"),
    "seed": ("product", "batch", "dose", "area_m2"),
    "clearing": ("waste_l", "waste_note_no"),
}
_DRY = {"lawn_sand": ("water_l",)}


class Ground(NamedTuple):
    """What a register says of a zone; the place is empty for a site that has none."""

    name: str
    crop: str
    longitude: str = ""
    latitude: str = ""


def empty(row: Row) -> list[str]:
    """Return the columns of a piece of work that are empty and may be asked for by law.

    Work with a product that has an authorisation number is asked all that iron is.
    """
    asked = _APPLIED if row.get("authorisation_no") else _ASKED.get(counts_as(row), ())
    dry = _DRY.get(row.get("operation", ""), ())
    return [name for name in asked if not row.get(name) and name not in dry]


def table(rows: Sequence[Row], year: int, zones: Mapping[str, Ground]) -> list[list[str]]:
    """Return the register of a year: a head, and a line for each row of work, by day.

    What was taken back stays in it and says by which row and why.

    Parameters
    ----------
    rows : sequence of mapping
        The whole record.
    year : int
    zones : mapping of str to Ground
        Of the zones that are there now; a row of another zone has no crop and no place.
    """
    gone = taken_back(rows)
    found = [
        (when, row)
        for row in rows
        if row.get("operation") and (when := day(row)) is not None and when.year == year
    ]
    lines = [_line(row, gone, zones) for _, row in sorted(found, key=lambda each: each[0])]
    return [list(HEADS.values()), *([line[name] for name in HEADS] for line in lines)]


def _line(row: Row, gone: Mapping[str, Row], zones: Mapping[str, Ground]) -> dict[str, str]:
    ground = zones.get(row.get("zone_id", ""), Ground("", ""))
    back = gone.get(row.get("record_id", ""))
    return {
        **{name: row.get(name, "") for name in HEADS},
        "state": STANDS if back is None else BACK,
        "zone_name": ground.name,
        "crop": ground.crop,
        "longitude": ground.longitude,
        "latitude": ground.latitude,
        "taken_back_by": back.get("record_id", "") if back else "",
        "taken_back_for": back.get("reason", "") if back else "",
    }
