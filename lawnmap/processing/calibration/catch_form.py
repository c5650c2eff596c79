"""What is measured in a catch test on each kind of applicator, and how it is written."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from lawnmap.agronomy.field_units import measured
from lawnmap.errors import InputRefused


class Form(NamedTuple):
    """What is measured on one kind of applicator: what is needed, what may be, and of what."""

    needs: tuple[str, ...]
    may: tuple[str, ...]
    caught: str
    wanted: str


FORMS = {
    "knapsack": Form(("width", "length", "caught"), ("time", "tank", "wanted"), "volume", "water"),
    "sprayer": Form(
        ("width", "caught", "time"),
        ("speed", "distance", "walked", "tank", "wanted"), "volume", "water",
    ),
    "can": Form(("width", "length", "caught"), ("tank", "wanted"), "volume", "water"),
    "drop": Form(("width", "length", "caught"), ("wanted",), "mass", "rate"),
    "rotary": Form(
        ("length", "caught"), ("width", "trays", "spacing", "wanted"), "mass", "rate"
    ),
}  # fmt: skip
MEASURES = {
    "width": "length", "length": "length", "distance": "length", "spacing": "length",
    "time": "time", "walked": "time", "speed": "speed", "tank": "volume", "trays": "mass",
}  # fmt: skip
WORDS = {"can": "watering can", "drop": "drop spreader", "rotary": "rotary spreader"}
TRAYS = "trays"
LISTS = ("caught", TRAYS)


def values(kind: str, given: Mapping[str, str]) -> dict[str, list[float]]:
    """Return measurements as numbers, each in the unit its kind is held in.

    Parameters
    ----------
    kind : str
        One of FORMS.
    given : mapping of str to str
        Texts with units; several in one, as ``caught`` of each nozzle or ``trays`` from left to
        right, with semicolons between: ``3; 5; 9; 5; 3 g``.

    Raises
    ------
    InputRefused
        For another kind, a measurement that is missing, strange or without its unit.
    """
    if kind not in FORMS:
        raise InputRefused(
            f"{kind!r} is no kind of applicator", remedy=f"Kinds are {', '.join(FORMS)}."
        )
    form = FORMS[kind]
    strange = [name for name in given if name not in form.needs + form.may]
    missing = [name for name in form.needs if not given.get(name, "").strip()]
    if strange or missing:
        what = f"{strange[0]!r} is not measured" if strange else f"{missing[0]} is missing"
        raise InputRefused(
            f"{what} for a {WORDS.get(kind, kind)}",
            remedy=f"Needed: {', '.join(form.needs)}. Also taken: {', '.join(form.may)}.",
        )
    held = {**MEASURES, "caught": form.caught, "wanted": form.wanted}
    found = {}
    for name, text in given.items():
        try:
            found[name] = [
                measured(each, held[name], zero=name == TRAYS) for each in _parts(name, text)
            ]
        except InputRefused as error:
            raise error.within(place=name) from error.__cause__
    return found


def _parts(name: str, text: str) -> list[str]:
    """Return the measurements in a text; a bare number has the unit of the last."""
    if name not in LISTS:
        return [text]
    parts = [each.strip() for each in text.split(";")]
    unit = parts[-1].lstrip("0123456789./ ")
    return [f"{each} {unit}" if each[-1:].isdigit() else each for each in parts]
