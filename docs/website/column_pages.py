"""A page for each column: what it means in each table, who may see it, what reads and shows it."""

from __future__ import annotations

from collections.abc import Sequence

import code_read
import export_facts
import treatment_facts
from item_text import bullets, by_name, facts, link, links, module_line, page
from rule_pages import of_column, sentence

from lawnmap import schema

HELD = {
    "object": "text",
    "float64": "number",
    "int64": "whole number",
    "bool": "yes or no",
}
LOOKS_AT = {
    "zone": "zone by zone",
    "site": "over the whole site at once",
    "job": "over the whole job: all sites that are planned together",
}
# Columns that the marking page, a command or a sheet may set.
SET_BY = {
    "zones": "read from a [site plan](../formats.md), or set with "
    "[`lawnmap assess`](../commands/assess.md), on the [marking page](../marking.md) or on a "
    "[visit](../visit.md)",
    "features": "read from a [site plan](../formats.md), or set on the "
    "[marking page](../marking.md)",
}


def pages() -> dict[str, str]:
    """Return the page of each column by its path."""
    return {f"columns/{name}.md": _page(name, found) for name, found in by_name().items()}


def _page(name: str, found: Sequence[schema.Column]) -> str:
    tables = [f"[`{each.table}`](../columns.md#{_anchor(each.table)})" for each in found]
    several = len(found) > 1
    rules = of_column(name)
    return page(
        name,
        f"A column of {'the tables ' if several else 'the table '}{', '.join(tables)}.",
        *(_of_table(each, several=several) for each in found),
        "## Rules that read it",
        bullets((f"{link('rule', each.id)}: {sentence(each)}" for each in rules), "None."),
        "## Steps that read it",
        bullets(_steps(name), "None: it is for people and papers."),
        "## Treatments",
        bullets(_treatments(name), "No treatment reads or gives it."),
        "## Exports that show it",
        _exports(name),
        "[All columns](../columns.md), in the order of their tables.",
    )


def _anchor(table: str) -> str:
    return table.lower()


def _of_table(column: schema.Column, *, several: bool) -> str:
    heading = f"## In `{column.table}`\n\n" if several else ""
    meaning = column.meaning[:1].upper() + column.meaning[1:].rstrip(".")
    return (
        heading
        + f"{meaning}.\n\n"
        + facts(
            [
                ("Unit", _unit(column)),
                ("Type", HELD[column.dtype]),
                ("May hold", _allowed(column)),
                ("Fact or worked out", _made(column)),
                ("Looks", LOOKS_AT.get(column.kind, "")),
                ("Who may see it", _seen(column)),
            ]
        )
    )


def _unit(column: schema.Column) -> str:
    if column.unit == "class":
        return "a class: the digit stands in files, words on papers"
    if column.unit == "unit" or column.unit.endswith("_unit"):
        return f"named by the column {link('column', column.unit)}"
    return column.unit or "none"


def _allowed(column: schema.Column) -> str:
    if column.words:
        return ", ".join(column.words)
    if column.low is None or column.high is None:
        return ""
    return f"{column.low:g} to {column.high:g}"


def _made(column: schema.Column) -> str:
    if not column.step:
        how = SET_BY.get(column.table, "typed in")
        return f"a fact, kept in the site file: {how}"
    module = code_read.step_module(column.step)
    return (
        f"worked out again each time, never stored; step *{column.step}*: "
        f"{code_read.first_line(module)} (`{module}`)"
    )


def _seen(column: schema.Column) -> str:
    place = schema.AUDIENCES.index(column.seen_by)
    who = ", ".join(schema.AUDIENCES[place:])
    if column.name in export_facts.NAMED:
        return f"{who}, and only when it is [named](../privacy.md#what-has-to-be-named)"
    return f"{who} ([privacy](../privacy.md#who-sees-what))"


def _steps(name: str) -> list[str]:
    """Return what takes the column in working out a plan, but for what makes it."""
    making = {code_read.step_module(each.step) for each in by_name()[name]}
    return [
        module_line(each)
        for each in code_read.readers_of(name, "lawnmap.processing")
        if each not in making
    ]


def _treatments(name: str) -> list[str]:
    in_steps = any(each.table == "steps" for each in by_name()[name])
    in_zones = any(each.table == "zones" for each in by_name()[name])
    every = treatment_facts.order()
    reading = [each for each in every if in_zones and name in treatment_facts.reads(each)]
    giving = [each for each in every if in_steps and name in treatment_facts.gives(each)]
    said = (("read by", reading), ("given by", giving))
    return [f"{words} {links('treatment', them)}" for words, them in said if them]


def _exports(name: str) -> str:
    """Return the exports that write the whole of one of its tables, and those that name it."""
    whole, named = export_facts.showing(name)
    lines = []
    if whole:
        lines.append(f"with every column that the reader may see: {links('export', whole)}")
    if named:
        lines.append(f"by name: {links('export', named)}")
    none = (
        "None of a single site; the tables and papers of [many sites](../sites.md) hold it."
        if all(each.table in export_facts.MANY for each in by_name()[name])
        else "None."
    )
    return bullets(lines, none)
