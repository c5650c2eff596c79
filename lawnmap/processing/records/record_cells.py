"""What a person types of a piece of work, as the cells of ``record.csv``.

A measurement is typed with its unit under a short name, ``area=180 m2``, or as a bare number under
the name of its column, ``area_m2=180``.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Mapping
from typing import NamedTuple

from lawnmap.agronomy.field_units import measured
from lawnmap.agronomy.label_units import AREAS, amount, tokens
from lawnmap.errors import InputRefused
from lawnmap.files.numbers import number
from lawnmap.processing.records.near_miss import one_of

Cells = dict[str, str]

LONGEST = 300
TIME = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)", re.ASCII)
VOLUMES = re.compile(r"\d\s*(ml|l|lt|lit|US|us|imp|uk|gal|fl|pt|qt|m3|m³)(?![a-z])", re.ASCII)
MASSES = re.compile(r"\d\s*(g|kg|gram|oz|ounce|lb|pound)s?\.?$", re.ASCII | re.IGNORECASE)
AMOUNTS = "g, kg, oz, lb, ml, l, m3, US gal or imperial gal, with a point: 562.5 g"
POINTS = (
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW",
    "NNW", "calm", "variable",
)  # fmt: skip
MOST_FORCE = 12  # of the Beaufort scale
COLDEST, HOTTEST = -40.0, 60.0
# The unit of a volume, by operation, as a plan has it; any other is a product, in ml.
VOLUME = {"watering": "l", "clearing": "l", "aerating": "l", "top_dressing": "m³"}
IN_LITRES = {"ml": 1000.0, "l": 1.0, "m³": 0.001}


def cells(given: Mapping[str, str], operation: str) -> Cells:
    """Return what was typed, checked, as cells by column; empty texts say nothing.

    Parameters
    ----------
    given : mapping of str to str
        By the names of KEYS, or of their columns.
    operation : str
        What was done; volumes are kept in the unit that a plan of it has.

    Raises
    ------
    InputRefused
        For a name that there is not, two for one column, or a value that cannot be.
    """
    found: Cells = {}
    for name, text in given.items():
        key = _key(name)
        if not text.strip():
            continue
        try:
            made = key.read(" ".join(text.split()), operation)
        except InputRefused as error:
            raise error.within(place=name) from error.__cause__
        if set(made) & set(found):
            raise InputRefused("is given twice", place=name, remedy="Leave one of the two out.")
        found |= made
    return found


def plain(value: float) -> str:
    """Return a number as a cell: eight digits, since no scales and no tape give more."""
    return f"{value:.8g}"


class Key(NamedTuple):
    """A name that may be typed: the column it fills, how it is read, and an example."""

    column: str
    read: Callable[[str, str], Cells]
    example: str


def _key(name: str) -> Key:
    names = {**{key.column: key for key in KEYS.values()}, **KEYS}
    unknown = f"{name!r} is nothing that the record has"
    return names[one_of(name, names, unknown=unknown, what="It has", remedy=LISTED)]


def _text(column: str) -> Callable[[str, str], Cells]:
    def read(text: str, _: str) -> Cells:
        if len(text) > LONGEST:
            raise InputRefused(f"is longer than {LONGEST} characters", remedy="Shorten it.")
        if not text.isprintable():
            raise InputRefused("holds a character that cannot be printed", remedy="Type it again.")
        return {column: text}

    return read


def _measure(column: str, unit: str, kind: str) -> Callable[[str, str], Cells]:
    """Return the reader of a measurement: with a unit, or a bare number of the column's."""

    def read(text: str, _: str) -> Cells:
        return {column: plain(measured(_with_unit(text, unit), kind, zero=True))}

    return read


def _with_unit(text: str, unit: str) -> str:
    return f"{text} {unit}" if re.fullmatch(r"[\d.]+", text, re.ASCII) else text


def _date(text: str, _: str) -> Cells:
    try:
        day = dt.date.fromisoformat(text)
    except ValueError:
        raise InputRefused(f"{text!r} is no day", remedy="Write it as 2026-09-14.") from None
    return {"date": day.isoformat()}


def _time(column: str) -> Callable[[str, str], Cells]:
    def read(text: str, _: str) -> Cells:
        match = TIME.fullmatch(text)
        if match is None:
            raise InputRefused(f"{text!r} is no time of day", remedy="Write it as 08:30.")
        return {column: f"{int(match[1]):02d}:{match[2]}"}

    return read


def _amount(text: str, operation: str) -> Cells:
    if re.fullmatch(r"[\d.]+", text, re.ASCII):
        raise InputRefused(f"{text!r} names no unit", remedy=f"Write it in {AMOUNTS}.")
    if re.search(r"\d\s*(m3|m³)$", text):
        litres = number(re.sub(r"\s*(m3|m³)$", "", text)) * 1000
    elif VOLUMES.search(text):
        litres = measured(text, "volume")
    elif MASSES.search(text):
        return {"amount": plain(measured(text, "mass")), "unit": "g"}
    else:
        raise InputRefused(f"{text!r} is no amount", remedy=f"Write it in {AMOUNTS}.")
    unit = VOLUME.get(operation, "ml")
    return {"amount": plain(litres * IN_LITRES[unit]), "unit": unit}


def _dose(text: str, operation: str) -> Cells:
    if not re.search(r"/|per", text):
        raise InputRefused(f"{text!r} does not say on what area", remedy='Write dose="3.125 g/m2".')
    if not VOLUMES.search(text):
        return {"dose": plain(measured(text, "rate")), "dose_unit": "g/m²"}
    unit = "l" if operation in VOLUME else "ml"
    return {
        "dose": plain(measured(text, "water") * IN_LITRES[unit]),
        "dose_unit": f"{unit}/m²",
    }


def _area(text: str, _: str) -> Cells:
    found = tokens(_with_unit(text, "m2"))
    if [each.kind for each in found] != ["number", "unit"] or found[1].text not in AREAS:
        raise InputRefused(f"{text!r} is no area", remedy='Write area="180 m2".')
    return {"area_m2": plain(amount(found[0].text, found[1].text)[0])}


def _force(text: str, _: str) -> Cells:
    if not text.isascii() or not text.isdigit() or int(text) > MOST_FORCE:
        raise InputRefused(
            f"{text!r} is no wind force", remedy="Write the Beaufort number, 0 to 12: 2."
        )
    return {"wind_force": str(int(text))}


def _from(text: str, _: str) -> Cells:
    unknown = f"{text!r} is no direction"
    return {"wind_from": one_of(text, POINTS, unknown=unknown, what="Directions are")}


def _temperature(text: str, _: str) -> Cells:
    match = re.fullmatch(r"(-?[\d.]+) ?°?([CFcf]?)", text, re.ASCII)
    if match is None:
        raise InputRefused(f"{text!r} is no temperature", remedy="Write 14 C or 57 F.")
    try:
        degrees = number(match[1])
    except ValueError as error:
        raise InputRefused(str(error), remedy="Write 14 C or 57 F.") from error
    celsius = (degrees - 32) / 1.8 if match[2].upper() == "F" else degrees
    if not COLDEST <= celsius <= HOTTEST:
        raise InputRefused(f"{text!r} is no air temperature", remedy="Write 14 C or 57 F.")
    return {"air_temp_c": plain(round(celsius, 1))}


KEYS: dict[str, Key] = {
    "date": Key("date", _date, "2026-09-14"),
    "start": Key("start_time", _time("start_time"), "08:30"),
    "end": Key("end_time", _time("end_time"), "09:45"),
    "product": Key("product", _text("product"), "Moss iron 5"),
    "authorisation_no": Key("authorisation_no", _text("authorisation_no"), "the label's number"),
    "batch": Key("batch", _text("batch"), "the pack's number"),
    "amount": Key("amount", _amount, "562.5 g"),
    "dose": Key("dose", _dose, "3.125 g/m2"),
    "area": Key("area_m2", _area, "180 m2"),
    "water": Key("water_l", _measure("water_l", "l", "volume"), "112.5 l"),
    "applicator": Key("applicator", _text("applicator"), "can"),
    "nozzle": Key("nozzle", _text("nozzle"), "red 03"),
    "pressure": Key("pressure_bar", _measure("pressure_bar", "bar", "pressure"), "2 bar"),
    "wind_force": Key("wind_force", _force, "2"),
    "wind_from": Key("wind_from", _from, "SW"),
    "air_temp": Key("air_temp_c", _temperature, "14 C"),
    "ground": Key("ground", _text("ground"), "moist, firm"),
    "operator": Key("operator", _text("operator"), "who applied it"),
    "certificate_no": Key("certificate_no", _text("certificate_no"), "the operator's"),
    "reason": Key("reason", _text("reason"), "moss over half the lawn"),
    "keep_off_until": Key("keep_off_until", _text("keep_off_until"), "dry, seen 16:20"),
    "waste": Key("waste_l", _measure("waste_l", "l", "volume"), "240 l"),
    "waste_note_no": Key("waste_note_no", _text("waste_note_no"), "the carrier's"),
    "application": Key("application", _text("application"), "2"),
    "issued": Key("issued_id", _text("issued_id"), "the id of the issued plan"),
    "by": Key("by", _text("by"), "who wrote this row"),
    "note": Key("note", _text("note"), "anything else"),
}
LISTED = "They are listed in docs/record.md."
