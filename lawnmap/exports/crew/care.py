"""Which cautions and which ticks belong to the work of one day, and which to the whole job."""

from __future__ import annotations

from collections.abc import Iterable

from lawnmap.exports.wording.amounts import missing, text
from lawnmap.exports.wording.iron_work import IRON
from lawnmap.exports.wording.sentences import in_units
from lawnmap.exports.wording.step_text import Step
from lawnmap.pages.words import word
from lawnmap.paper import Paper
from lawnmap.reference import tables

APPLIED = ("spray", "granules")
BLADES = "blades"
HAND = "hand"  # what a machine does is not told of hands
MACHINES = ("electric", "battery", "petrol", "tractor", "mower", "corer", "knapsack", "boom",
            "spreader")  # fmt: skip


def of_work(paper: Paper, found: Iterable[Step]) -> list[str]:
    """Return the cautions of a plan that these steps bring with them."""
    found = list(found)
    here, led = kinds(found), _led(found)
    by_kind = _by_kind(paper.units)
    return [
        caution
        for caution in paper.plan.cautions
        if by_kind.get(caution) in here or caution.startswith(led)
    ]


def of_job(paper: Paper, found: Iterable[Step]) -> list[str]:
    """Return the cautions of a plan that belong to no kind of work, product or machine."""
    by_kind, led = _by_kind(paper.units), _led(found)
    return [
        caution
        for caution in paper.plan.cautions
        if caution not in by_kind and not caution.startswith(led)
    ]


def ready(found: Iterable[Step]) -> list[str]:
    """Return what is ticked before any work of a day, beside what each kind of work asks for."""
    found = list(found)
    here = kinds(found)
    told = any(step.gates for step in found)
    applied = bool(here & {*APPLIED, "iron"})
    asked = (
        ("ground", not told),
        ("grass", not told),
        ("weather", applied and not told),
        ("label", any(step.product for step in found)),
        ("people", True),
        ("hidden", BLADES in here and not told),
        ("water", applied),
        ("paving", "iron" in here),
        ("machine", not here.isdisjoint(MACHINES)),
        ("wear", applied),
    )
    return [word(f"ready.{key}") for key, holds in asked if holds]


def kinds(found: Iterable[Step]) -> set[str]:
    """Return what the table of cautions speaks of: kinds of work and of machine, and iron.

    Those that an outside treatment brings speak of its operation.
    """
    here: set[str] = set()
    for step in found:
        kind, machine = text(step.row.get("kind")), text(step.row.get("machine_kind"))
        here |= {machine} if kind == HAND and machine in MACHINES else {kind, machine}
        here.add(step.operation)
        if step.operation in IRON or _above(step, "iron_g_m2"):
            here.add("iron")
    return here - {""}


def _above(step: Step, column: str) -> bool:
    return not missing(step.row.get(column)) and float(step.row[column]) > 0


def _by_kind(units: str) -> dict[str, str]:
    return {in_units(each.sentence, units): each.applies_to for each in tables.cautions()}


def _led(found: Iterable[Step]) -> tuple[str, ...]:
    """Return how the cautions begin that a product's card or a machine brings."""
    names = {name for step in found for name in (step.product, step.machine) if name}
    return tuple(f"{name}{after}" for name in sorted(names) for after in (": ", ", on keeping off"))
