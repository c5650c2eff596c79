"""Workmanship strips: how near to what each kind of work goes, and what is done there instead.

No law sets them, so each has a default: from the reach of the applicator or of the machine, else a
stated figure of common practice. All may be changed in the specification.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from lawnmap.errors import InputRefused
from lawnmap.model import Machine, Specification
from lawnmap.processing import machines
from lawnmap.processing.iron.label_card import SPRAYED, iron_card
from lawnmap.reference import tables

IRON = ("spray", "granules")
BLADES = "blades"
HARD = ("paving", "building", "fence")  # what iron stains
BY_HAND, DROPPED, RAKE, LEFT = "by hand", "drop spreader", "rake", "left"
TREATED = (BY_HAND, DROPPED)  # what makes a strip part of the ground that gets the product
OWN, PRACTICE = "your own choice", "common practice, no source"
POINT, WIDER = "point", "line or area"


class Rule(NamedTuple):
    """One distance kept from some kinds of feature.

    Attributes
    ----------
    features : tuple of str
        Kinds of feature.
    width_m : float
        Distance [m].
    set_by : str
        Who or what set it.
    instead : str
        How the strip is treated instead.
    shape : str
        POINT or WIDER where the rule is for one sort of shape only.
    """

    features: tuple[str, ...]
    width_m: float
    set_by: str
    instead: str
    shape: str = ""


def rules(kind: str, specification: Specification, machine: Machine | None) -> tuple[Rule, ...]:
    """Return the distances that one kind of work keeps.

    Parameters
    ----------
    kind : str
        ``spray``, ``granules``, ``feed``, ``seed`` or ``blades``.
    specification : Specification
    machine : Machine or None
        Applicator or blades.
    """
    chosen = _chosen(specification)
    if kind in IRON:
        return _iron(chosen, machine, specification)
    if kind == BLADES:
        return _blades(chosen, machine, in_place_of_blades(specification))
    width = _own(chosen, f"{kind}_m") or _thrown(machine)
    instead = str(chosen.get(f"{kind}_instead") or BY_HAND)
    return (Rule(("paving", "bed"), *width, instead),)


def applicator(kind: str, specification: Specification) -> Machine | None:
    """Return what iron, feed or seed is put on with."""
    if kind in IRON:
        return iron_card(specification).machine
    named = (specification.choice("applicator") or {}).get(kind)
    usual = tables.machine("drop_spreader" if kind == "feed" else "hand_spread").name
    return machines.named(str(named or usual), specification)


def in_place_of_blades(specification: Specification) -> str:
    """Return how ground is treated that a machine with blades keeps clear of."""
    return str(_chosen(specification).get("blades_instead") or RAKE)


def _iron(
    chosen: Mapping[str, Any], machine: Machine | None, specification: Specification
) -> tuple[Rule, ...]:
    instead = str(chosen.get("iron_instead") or LEFT)
    if instead == DROPPED and iron_card(specification).form in SPRAYED:
        raise InputRefused(
            "the iron of this site is sprayed",
            file="specification.toml",
            place="strips.workmanship.iron_instead",
            remedy='Write "by hand" or "left".',
        )
    least = tables.value("paving_strip_m").number
    reach = max(_thrown(machine), (least, PRACTICE), key=lambda each: each[0])
    return (
        Rule(HARD, *(_own(chosen, "paving_m") or reach), instead),
        Rule(("bed",), *(_own(chosen, "bed_m") or reach), instead),
    )


def _blades(chosen: Mapping[str, Any], machine: Machine | None, instead: str) -> tuple[Rule, ...]:
    edge = _own(chosen, "blades_edge_m") or _reach(machine)
    tree, point, line = (
        _own(chosen, key) or (tables.value(key).number, PRACTICE)
        for key in ("blades_tree_m", "blades_point_m", "blades_line_m")
    )
    return (
        Rule(("building", "fence", "hedge", "bed", "water"), *edge, instead),
        Rule(("tree",), *tree, instead),
        Rule(("hidden", "drain"), *point, instead, POINT),
        Rule(("hidden", "drain"), *line, instead, WIDER),
    )


def _chosen(specification: Specification) -> Mapping[str, Any]:
    return (specification.choice("strips") or {}).get("workmanship") or {}


def _own(chosen: Mapping[str, Any], key: str) -> tuple[float, str] | None:
    return None if chosen.get(key) is None else (float(chosen[key]), OWN)


def _thrown(machine: Machine | None) -> tuple[float, str]:
    """Return how far a spreader throws beyond its middle; a narrow one drops and throws nothing."""
    width = machine.width_m if machine is not None and machine.kind == "spreader" else None
    if machine is None or width is None or width <= tables.value("drop_width_most_m").number:
        return 0.0, PRACTICE
    return width / 2, f"half the width of the {machine.name}"


def _reach(machine: Machine | None) -> tuple[float, str]:
    """Return the ground beside the blades that the machine's own body keeps from an edge."""
    if machine is None or machine.width_m is None or machine.overall_width_m is None:
        return tables.value("blades_edge_m").number, PRACTICE
    return (machine.overall_width_m - machine.width_m) / 2, f"the body of the {machine.name}"
