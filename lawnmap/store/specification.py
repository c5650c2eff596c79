"""Read ``specification.toml``, and write the first one.

lawnmap never rewrites a file that a person writes by hand: ``start`` makes it once, with every key
and what it means, and from then on it is read only.
"""

from __future__ import annotations

import json
import textwrap
from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import Any

from lawnmap.errors import InputRefused
from lawnmap.logistics.work import WEEKDAYS
from lawnmap.model import Machine, Product, Specification
from lawnmap.schema import ZONE_ID
from lawnmap.store import keys, map_choices, toml_text
from lawnmap.store.choices import CHOICES, ZONE
from lawnmap.store.features import FORM_OF_ID
from lawnmap.store.folder import Folder
from lawnmap.store.inside import typed
from lawnmap.store.keys import Key

NAME = "specification.toml"
WIDTH = 96

HEAD = """\
# Choices for this site, in TOML. Written once; lawnmap never changes this file again.
# A key that is left out has the value shown here. A key behind a # is not set."""
ZONES = """\
# What single zones have otherwise, by zone_id; also turf_type, operations and seeding.wanted.
# [zones.front]
# iron = "not on this site"
# [zones.bank]
# leave = true
# reason = "wild flowers until the end of July"
"""


def read(
    folder: Folder,
    *,
    products: Mapping[str, Product],
    machines: Mapping[str, Machine],
    zone_ids: Collection[str] | None = None,
) -> Specification:
    """Return the choices for a site; those of the first file when it has none.

    Parameters
    ----------
    folder : Folder
        The site.
    products, machines : mapping
        What there is, by name.
    zone_ids : collection of str, optional
        The zones there are; a choice for any other zone is then refused.

    Raises
    ------
    InputRefused
        With the key and what it may hold, or the line that is not TOML.
    """
    data = typed(folder.specification, limit=toml_text.LARGEST) or b""
    return parse(data, products=products, machines=machines, zone_ids=zone_ids)


def parse(
    data: bytes,
    *,
    products: Mapping[str, Product],
    machines: Mapping[str, Machine],
    zone_ids: Collection[str] | None = None,
    name: str = NAME,
) -> Specification:
    """Return the choices in `data`; see :func:`read`."""
    values = toml_text.loads(data, name=name)
    return checked(values, products=products, machines=machines, zone_ids=zone_ids, name=name)


def checked(
    values: Mapping[str, Any],
    *,
    products: Mapping[str, Product],
    machines: Mapping[str, Machine],
    zone_ids: Collection[str] | None = None,
    name: str = NAME,
) -> Specification:
    """Return choices that were parsed already, as TOML has them; see :func:`read`.

    The machines of the result are those to hand and the applicators that are named.
    """
    values = dict(values)
    zones = values.pop("zones", {})
    choices = keys.read(values, CHOICES, file=name)
    _check_strips(choices["strips"], name)
    _check_named(choices, products, machines, name)
    _check_days(choices, name)
    map_choices.check(choices["basemap"], name)
    to_hand = choices["machines"] or list(machines)
    used = {*to_hand, *choices["applicator"].values()}
    return Specification(
        choices,
        products=dict(products),
        machines={title: machine for title, machine in machines.items() if title in used},
        by_zone=_zones(zones, choices, zone_ids, name),
    )


def default_text() -> str:
    """Return the specification that ``start`` writes: every key, what it means, its default."""
    return "\n".join([HEAD, *_lines(CHOICES), "", ZONES])


def _zones(
    zones: Any, choices: Mapping[str, Any], zone_ids: Collection[str] | None, name: str
) -> dict[str, dict[str, Any]]:
    """Return what single zones have otherwise, and nothing of what they share with the site."""
    if not isinstance(zones, dict):
        raise InputRefused("is not a table", file=name, place="zones", remedy="See the example.")
    result = {}
    for zone_id, given in zones.items():
        place = f"zones.{zone_id}"
        if not ZONE_ID.fullmatch(zone_id):
            raise InputRefused("is not a zone_id", file=name, place=place, remedy=FORM_OF_ID)
        if zone_ids is not None and zone_id not in zone_ids:
            raise keys.unknown(zone_id, zone_ids, file=name, place="zones")
        read_all = keys.read(given, ZONE, file=name, place=place)
        own = {key: read_all[key] for key in given}
        if "seeding" in own:
            own["seeding"] = {**choices["seeding"], **own["seeding"]}
        result[zone_id] = own
    return result


def _check_strips(strips: Mapping[str, Any], name: str) -> None:
    """Take a clearance only with who set it, so that nobody's number is a guess."""
    for table in ("legal", "feed"):
        for key in ("water_m", "drain_m"):
            if strips[table][key] is not None and not strips[table]["from"]:
                raise InputRefused(
                    "does not say who set it",
                    file=name,
                    place=f"strips.{table}.{key}",
                    remedy=f'Give strips.{table}.from: "law" or "site rule".',
                )


def _check_days(choices: Mapping[str, Any], name: str) -> None:
    """Check that there are days to work on."""
    strange = [each for each in choices["weekdays"] if each not in WEEKDAYS]
    if strange:
        raise keys.unknown(strange[0], WEEKDAYS, file=name, place="weekdays")
    if not choices["weekdays"]:
        raise InputRefused(
            "leaves no day to work on", file=name, place="weekdays", remedy='Give ["monday"].'
        )
    first, last = choices["first_day"], choices["last_day"]
    if first is not None and last is not None and last < first:
        raise InputRefused(
            "is before first_day", file=name, place="last_day", remedy="Swap the two days."
        )


def _check_named(
    choices: Mapping[str, Any],
    products: Mapping[str, Product],
    machines: Mapping[str, Machine],
    name: str,
) -> None:
    """Check that every product and machine named is one there is: a slip must not go unnoticed."""
    for use, title in choices["products"].items():
        if title and title not in products:
            raise keys.unknown(title, products, file=name, place=f"products.{use}")
    for use, title in choices["applicator"].items():
        if title and title not in machines:
            raise keys.unknown(title, machines, file=name, place=f"applicator.{use}")
    for title in choices["machines"]:
        if title not in machines:
            raise keys.unknown(title, machines, file=name, place="machines")
    if choices["blades"] and choices["blades"] not in machines:
        raise keys.unknown(choices["blades"], machines, file=name, place="blades")


def _lines(group: Iterable[Key], path: str = "") -> Iterator[str]:
    """Write keys with what they mean; tables follow the plain keys, as TOML needs it."""
    tables = [key for key in group if key.kind == "table"]
    for key in group:
        if key.kind == "table":
            continue
        if not path:
            yield ""
        if key.means or key.words:
            choice = f" One of: {', '.join(filter(None, key.words))}." if key.words else ""
            yield _remark(f"{key.means}{choice}".strip())
        if key.default is None:
            yield f"# {key.name} = ({keys.wanted(key)})"
        else:
            yield f"{key.name} = {_toml(key.default)}"
    for key in tables:
        if any(inner.kind != "table" for inner in key.inside):
            yield f"\n{_remark(key.means)}\n[{path}{key.name}]"
        yield from _lines(key.inside, f"{path}{key.name}.")


def _remark(text: str) -> str:
    return textwrap.fill(text, WIDTH, initial_indent="# ", subsequent_indent="# ")


def _toml(value: Any) -> str:
    """Return a default as TOML, which writes these plain values as JSON does."""
    text = json.dumps(value)
    if isinstance(value, tuple) and len(text) > WIDTH:
        text = "[\n" + "".join(f"    {json.dumps(each)},\n" for each in value) + "]"
    return text
