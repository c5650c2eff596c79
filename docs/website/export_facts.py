"""What the code of an export names: tables that it writes whole, and columns one by one."""

from __future__ import annotations

import ast
import re
from functools import cache

import code_read
from item_text import by_name, ours, plugin

from lawnmap import schema
from lawnmap.exports.gis import geopackage, xlsx
from lawnmap.jobs import export
from lawnmap.processing import disclose

ROOM = "lawnmap.exports"
NAMED = disclose.NAMED
# Tables of many sites are written by `lawnmap sites`, not by an export of one.
MANY = (
    "sites", "site_needs", "site_hours", "depot_machines", "depot_shopping", "totals_by",
)  # fmt: skip
# Files for other programs hold whole tables; everything else names what it shows.
WHOLE = {
    "gpkg": ("zones", "features", *geopackage.TABLES, *geopackage.SET_OUT, geopackage.PASSES),
    "geojson": ("zones", "features"),
    "csv": ("steps",),
    "xlsx": xlsx.TABLES,
}
EXTRA = re.compile(r"lawnmap\[(\w+)\]")
PLACE = "lawnmap.exports.gis.tables"


@cache
def order() -> tuple[str, ...]:
    """Return lawnmap's own exports: papers first, then files for other programs."""
    files = [name for name, module in ours("exports").items() if ".gis." in module]
    return tuple([each for each in ours("exports") if each not in files] + files)


@cache
def code(name: str) -> tuple[ast.stmt, ...]:
    """Return the code of an export: what makes it, and what that leads to in the rooms beside."""
    return code_read.reach(ours("exports")[name], "render", ROOM)


@cache
def named(name: str) -> tuple[str, ...]:
    """Return the columns of a single site that an export names.

    A word such as ``name`` counts where it is taken from a row; one with its unit anywhere.
    """
    found: set[str] = set()
    for node in code(name):
        found |= code_read.named(node).taken
        found |= {each for each in code_read.named(node).texts if "_" in each}
    return tuple(
        column
        for column, held in by_name().items()
        if column in found and any(each.table not in MANY for each in held)
    )


def whole(name: str) -> tuple[str, ...]:
    """Return the tables that an export writes with every column its reader may see."""
    return WHOLE.get(name, ())


def showing(column: str) -> tuple[list[str], list[str]]:
    """Return the exports that hold a column in a whole table, and those that name it."""
    held = {each.table for each in by_name()[column]}
    of_table = [each for each in order() if held & set(whole(each))]
    return of_table, [each for each in order() if each not in of_table and column in named(each)]


def shown_to(name: str) -> dict[str, list[str]]:
    """Return the columns that each audience sees beyond those of the wider circles."""
    columns: dict[str, list[str]] = {audience: [] for audience in schema.AUDIENCES}
    done: set[str] = set()
    for audience in schema.AUDIENCES:
        for table in whole(name):
            columns[audience] += _new(disclose.Sees(audience).names(table), done)
        circle = _circle(audience)
        columns[audience] += _new([each for each in named(name) if each in circle], done)
    return columns


@cache
def _circle(audience: str) -> frozenset[str]:
    """Return the columns of a single site that an audience sees."""
    held = {each.table for each in schema.COLUMNS} - set(MANY)
    return frozenset(name for table in held for name in disclose.Sees(audience).names(table))


def _new(names: list[str], done: set[str]) -> list[str]:
    new = [each for each in names if each not in done]
    done.update(new)
    return new


def extras(name: str) -> list[str]:
    """Return the extras that an export asks for."""
    texts = code_read.named(code_read.tree(ours("exports")[name])).texts
    return sorted({extra for text in texts for extra in EXTRA.findall(text)})


def needs_place(name: str) -> bool:
    """Tell whether an export refuses a site without a place on the earth."""
    refusing = code_read.definitions(PLACE)["refuse_without_place"]
    return any(node is refusing for node in code(name))


def has_twin(name: str) -> bool:
    """Tell whether a PDF is handed over beside it."""
    return export.has_twin(name)


def languages(name: str) -> tuple[str, ...]:
    """Return the languages that an export is whole in."""
    return tuple(getattr(plugin("exports", name), "LANGUAGES", ("en",)))
