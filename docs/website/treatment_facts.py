"""What the code of a treatment names: rules, values, columns, waits, seasons, gates, cautions."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable
from functools import cache

import code_read
from item_text import DOCS, ours, plugin, section

from lawnmap import schema
from lawnmap.processing.days.gates import gates
from lawnmap.processing.days.waits import ROLE
from lawnmap.reference import tables
from lawnmap.reference.rows import Caution, Interval, Kit, Season

ROOM = "lawnmap.treatments"
# Given to every row by what makes rows, whatever the treatment says.
ALWAYS = ("zone_id", "operation", "status", "rule", "sources", "standing")
# Ground of a kind of work, as the steps that set it out name it.
GROUND = {
    "spray": "iron_area_m2",
    "granules": "iron_area_m2",
    "seed": "seed_area_m2",
    "blades": "blades_area_m2",
}
# Rules that code of several treatments names, and words that are no rule where they stand.
MEANT_FOR = {
    "iron_label_rate": ("iron_liquid", "iron_soluble"),
    "sand_label_rate": ("lawn_sand",),
    "hours_by_hand": ("raking",),
    "hours_by_capacity": ("scarifying",),
    "hours_with_box": ("scarifying",),
    "renovate": (),
    "feed_strip_from": (),
}
OF_KIND = {
    "hand": "work of hands or of a mower; no strip and no load",
    "blades": "blades go into the ground: strips of workmanship along edges, stems and hidden "
    "things, pass lines for machines that are driven",
    "spray": "put on with water: legal strips along water and drains, loads by the tank",
    "granules": "put down dry: legal strips along water and drains, loads by the hopper",
    "seed": "grams put down dry, loads by the hopper; no legal strip",
    "collection": "what comes off is collected: litres, bags and bins",
    "water": "water alone",
}


@cache
def order() -> tuple[str, ...]:
    """Return lawnmap's own treatments in the order of the work, as the page has them."""
    headings = re.findall(r"^## (\w+)$", (DOCS / "treatments.md").read_text("utf-8"), re.MULTILINE)
    known = ours("treatments")
    return tuple(
        [each for each in headings if each in known]
        + [each for each in known if each not in headings]
    )


def kind(name: str) -> str:
    """Return the KIND of a treatment."""
    return str(plugin("treatments", name).KIND)


@cache
def code(name: str) -> tuple[ast.stmt, ...]:
    """Return the code of a treatment: its steps, and what they lead to in the rooms beside it.

    Where it makes its rows itself, others that make rows are not followed: what it takes from them
    is a figure, and their rules are not its own.
    """
    own, others = ours("treatments")[name], set(ours("treatments").values())
    if code_read.makes_rows(own):
        others |= {each for each in code_read.modules() if _makes_rows_beside(each)}
    return code_read.reach(own, "steps", ROOM, others)


def _makes_rows_beside(module: str) -> bool:
    return module.startswith(f"{ROOM}.") and code_read.makes_rows(module)


@cache
def rules(name: str) -> tuple[str, ...]:
    """Return the rules that a treatment or the page about it names, in the order of the table."""
    told = set(re.findall(r"`(\w+)`", section("treatments.md", name)))
    own = _named(code(name), tables.rules())
    return tuple(
        each
        for each in tables.rules()
        if (each in told or each in own) and name in MEANT_FOR.get(each, (name,))
    )


@cache
def values(name: str) -> tuple[str, ...]:
    """Return the reference values that a treatment names or that its rules rest on."""
    of_rules = {value for rule in rules(name) for value in tables.rule(rule).values}
    own = _named(code(name), tables.values())
    return tuple(each for each in tables.values() if each in of_rules or each in own)


def _named(among: Iterable[ast.stmt], ids: Iterable[str]) -> tuple[str, ...]:
    return tuple(each for each in ids if any(code_read.names(node, each) for node in among))


@cache
def reads(name: str) -> tuple[str, ...]:
    """Return the columns of zones that a treatment takes."""
    held = [code_read.named(each) for each in code(name)]
    taken = set().union(*(each.taken for each in held))
    taken |= set().union(*(each.texts for each in held)) & _long("zones")
    return tuple(each.name for each in schema.columns("zones") if each.name in taken)


def _long(table: str) -> set[str]:
    return {each.name for each in schema.columns(table) if "_" in each.name}


@cache
def gives(name: str) -> tuple[str, ...]:
    """Return the columns of ``steps`` that a treatment fills."""
    given = set(ALWAYS).union(*(code_read.named(each).texts for each in code(name)))
    return tuple(
        each.name
        for each in schema.columns("steps")
        if each.kind == "zone" and each.step == "steps" and each.name in given
    )


def role(name: str) -> str:
    """Return what a treatment counts as in the table of waits."""
    return ROLE.get(name, "")


def waits(name: str) -> tuple[Interval, ...]:
    """Return the waits before and after a treatment."""
    return tuple(
        each for each in tables.intervals().values() if role(name) in (each.before, each.after)
    )


def seasons(name: str) -> tuple[Season, ...]:
    """Return the seasons in which a treatment is done."""
    own = role(name)
    if own == "iron":
        own = "lawn sand" if name == "lawn_sand" else "iron spray"
    return tuple(each for each in tables.seasons() if each.role.split(" with ")[0].startswith(own))


def ticks(name: str) -> tuple[str, ...]:
    """Return what has to be true on the day."""
    return gates(name)


def cautions(name: str) -> tuple[Caution, ...]:
    """Return the cautions that go with a treatment whatever the machine."""
    wanted = {kind(name), role(name)}
    return tuple(each for each in tables.cautions() if each.applies_to in wanted)


def kit(name: str) -> tuple[Kit, ...]:
    """Return what goes on the van for a treatment, beside machines and products."""
    wanted = {"any", kind(name), role(name), name}
    return tuple(each for each in tables.kit() if wanted & set(each.applies_to))
