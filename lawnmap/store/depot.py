"""The depot: what belongs to the user and not to a site. Label cards and machines, typed in."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, NamedTuple, TypeVar

from lawnmap.errors import InputRefused
from lawnmap.model import Machine, Product
from lawnmap.store import keys, toml_text
from lawnmap.store.cards import MACHINE, PRODUCT, machine, product
from lawnmap.store.inside import typed
from lawnmap.store.keys import Key

PRODUCTS = "products.toml"
MACHINES = "machines.toml"

Card = TypeVar("Card", Product, Machine)


class Depot(NamedTuple):
    """What the user owns, by name."""

    products: dict[str, Product]
    machines: dict[str, Machine]


def find(site: Path, *, given: Path | None, personal: Path) -> Path | None:
    """Return the depot folder for a site, None when there is none.

    Parameters
    ----------
    site : Path
        The site folder.
    given : Path, optional
        What was asked for with ``--depot``.
    personal : Path
        The user's own folder for lawnmap, the last resort.

    Raises
    ------
    InputRefused
        When the folder asked for does not exist.
    """
    if given is not None:
        if not os.path.isdir(given):  # noqa: PTH112 - never raises, whatever the name
            raise InputRefused("is not a folder", file=given.name, remedy="Check --depot.")
        return given
    here = site.resolve()
    for folder in (here, *here.parents, personal):
        # Never raises, whatever the parent; and what is there but cannot be read is not passed
        # over for the cards of another depot.
        if os.path.lexists(folder / PRODUCTS):
            return folder
    return personal if os.path.lexists(personal / MACHINES) else None


def read(folder: Path | None, *, machines: Mapping[str, Machine]) -> Depot:
    """Return the label cards and machines of a depot.

    Parameters
    ----------
    folder : Path or None
        As found by :func:`find`; None is an empty depot.
    machines : mapping of str to Machine
        Stand in for a depot without ``machines.toml``.

    Raises
    ------
    InputRefused
        With the card and the key that is wrong.
    """
    cards = _file(folder, PRODUCTS)
    own = _file(folder, MACHINES)
    return Depot(
        parse_products(cards) if cards is not None else {},
        parse_machines(own) if own is not None else dict(machines),
    )


def parse_products(data: bytes, *, name: str = PRODUCTS) -> dict[str, Product]:
    """Return the label cards in the ``[[product]]`` tables of `data`."""
    return _cards(data, "product", PRODUCT, product, name)


def parse_machines(data: bytes, *, name: str = MACHINES) -> dict[str, Machine]:
    """Return the machines in the ``[[machine]]`` tables of `data`."""
    return _cards(data, "machine", MACHINE, machine, name)


def _file(folder: Path | None, name: str) -> bytes | None:
    return None if folder is None else typed(folder / name, limit=toml_text.LARGEST)


def _cards(
    data: bytes,
    table: str,
    card: tuple[Key, ...],
    make: Callable[[dict[str, Any]], Card],
    name: str,
) -> dict[str, Card]:
    tables = (Key(table, "tables", (), inside=card),)
    found = keys.read(toml_text.loads(data, name=name), tables, file=name)
    result: dict[str, Card] = {}
    for number, values in enumerate(found[table], start=1):
        place = keys.nth(table, number, values)
        if values["name"] in result:
            raise InputRefused(
                "has the name of an earlier one",
                file=name,
                place=place,
                remedy="Give each its own name.",
            )
        try:
            result[values["name"]] = make(values)
        except InputRefused as error:
            error.file, error.place = name, f"{place}.{error.place}"
            raise
    return result
