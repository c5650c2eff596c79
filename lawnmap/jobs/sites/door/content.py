"""What a table of very many sites holds: their zones, or everything else that is mapped on them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from lawnmap import schema


@dataclass(frozen=True)
class Content:
    """What the rows of a table are.

    Attributes
    ----------
    table, one : str
        In the schema, and what one row is called.
    keys : tuple of str
        Columns by which rows are told apart; the last is the site.
    beside : tuple of str
        Columns that are no facts of a row, blank where they are missing.
    needed : tuple of str
        Columns without which no row means anything.
    """

    table: str
    one: str
    keys: tuple[str, ...]
    beside: tuple[str, ...] = ()
    needed: tuple[str, ...] = ()

    @cached_property
    def facts(self) -> dict[str, schema.Column]:
        """Return the facts of a row by name."""
        return {column.name: column for column in schema.facts(self.table)}

    @cached_property
    def columns(self) -> tuple[str, ...]:
        """Return the names of all columns that such a table may have beside its shapes."""
        return tuple(dict.fromkeys([*self.keys, *self.beside, *self.facts]))

    @property
    def named(self) -> bool:
        """Whether each row has a name of its own."""
        return "zone_id" in self.keys


ZONES = Content("zones", "zone", ("zone_id", "site_id"), beside=("region", "depot"))
FEATURES = Content("features", "feature", ("site_id",), needed=("site_id", "feature"))
OF_TABLE = {content.table: content for content in (ZONES, FEATURES)}
