"""Attributes of a foreign file brought to the columns of the schema, each checked or refused."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.files.numbers import number

DBF_NAME = 10  # a dBASE column name holds ten characters, so ``moss_rating`` arrives cut
DATES = {"fed_last", "sown_last", "date"}
CLASSES = {"moss_rating", "thatch_rating"}


def adopt(properties: dict[str, Any], kind: str) -> tuple[dict[str, Any], list[str]]:
    """Return properties under the schema's names and types, and the worked-out ones left out.

    Parameters
    ----------
    properties : dict
        As the file has them. Names that the schema does not know are kept as they are.
    kind : str
        Kind of feature.

    Returns
    -------
    properties : dict
        Checked facts and kept foreign attributes; empty values dropped.
    worked : list of str
        Names of worked-out columns that were left out, since a plan read back is a survey again.

    Raises
    ------
    InputRefused
        Naming the column, for a value of the wrong type, out of range or not among its words.
    """
    table = "zones" if kind == "zone" else "features"
    facts = {column.name: column for column in schema.facts(table)}
    worked = set(schema.names(table)) - set(facts)
    result: dict[str, Any] = {}
    left_out: list[str] = []
    for name, value in properties.items():
        known = _known_name(name, facts)
        if value is None or (isinstance(value, str) and not value.strip()):
            continue
        if known in facts:
            if known in result and result[known] != value:
                raise InputRefused(f"two columns both stand for {known}", remedy="Keep one.")
            result[known] = _checked(facts[known], value)
        elif name in worked:
            left_out.append(name)
        else:
            result[name] = value
    return result, left_out


def _known_name(name: str, facts: dict[str, schema.Column]) -> str:
    """Return the schema's name for a column, allowing for case, blanks and dBASE's ten letters."""
    plain = name.strip().lower().replace(" ", "_").replace("-", "_")
    if plain in facts:
        return plain
    if len(plain) == DBF_NAME:
        cut = [fact for fact in facts if fact[:DBF_NAME] == plain]
        if len(cut) == 1:
            return cut[0]
    return name


def _checked(column: schema.Column, value: Any) -> Any:
    if column.unit:
        return _number(column, value)
    if not isinstance(value, str):
        # Ids and client numbers come as numbers from tables; a truth value is never text.
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise InputRefused(f"{column.name} is not text", remedy="Correct it.")
        value = f"{value:.15g}"
    value = value.strip()
    if column.words:
        return _word(column, value)
    if column.name in DATES:
        return _date(column, value)
    return value


def _number(column: schema.Column, value: Any) -> float | int:
    if isinstance(value, str):
        try:
            value = number(value)
        except ValueError as error:
            raise InputRefused(f"{column.name}: {error}", remedy="Correct it.") from error
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise InputRefused(f"{column.name} is {value!r}, not a number", remedy="Correct it.")
    low, high = column.low, column.high
    if (low is not None and value < low) or (high is not None and value > high):
        raise InputRefused(
            f"{column.name} is {value:g}, outside {low:g} to {high:g}{_unit(column)}",
            remedy="Correct it, or leave it out.",
        )
    if column.name in CLASSES and value != int(value):
        raise InputRefused(
            f"{column.name} is {value:g}; a class is a whole number",
            remedy="A measured value goes in moss_cover_pct or thatch_mm.",
        )
    return int(value) if value == int(value) else float(value)


def _unit(column: schema.Column) -> str:
    return "" if column.unit in {"class", "count"} else f" {column.unit}"


def _word(column: schema.Column, value: str) -> str:
    plain = " ".join(value.lower().replace("_", " ").split())
    for word in column.words:
        if plain == word.lower():
            return word
    raise InputRefused(
        f"{column.name} is {value[:40]!r}", remedy=f"It can be: {', '.join(column.words)}."
    )


def _date(column: schema.Column, value: str) -> str:
    try:
        return dt.date.fromisoformat(value[:10]).isoformat()
    except ValueError as error:
        raise InputRefused(
            f"{column.name} is {value[:20]!r}", remedy="Write a date as YYYY-MM-DD."
        ) from error
