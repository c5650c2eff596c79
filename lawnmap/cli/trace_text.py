"""Where the numbers of a zone come from, as text for the terminal and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from lawnmap.cli.told import plain
from lawnmap.errors import printable

if TYPE_CHECKING:
    from lawnmap.jobs.tracing.traced import Figure, Traced

INDENT = "   "


def data(zone_id: str, found: Sequence[Traced]) -> dict[str, Any]:
    """Return a trace as JSON has it."""
    return {
        "zone_id": zone_id,
        "trace": [
            {
                **each._asdict(),
                "figures": [
                    {"low": plain(one.low), "high": plain(one.high), "unit": one.unit}
                    for one in each.figures
                ],
                "inputs": [one._asdict() for one in each.inputs],
                "values": [one._asdict() for one in each.values],
                "sources": list(each.sources),
            }
            for each in found
        ],
    }


def text(zone_id: str, found: Sequence[Traced]) -> str:
    """Return a trace for people: each number, then how it came about."""
    head = f"{zone_id}: every number of its plan, and where it comes from."
    return "\n\n".join([head, *(_one(each) for each in found)])


def _one(each: Traced) -> str:
    figures = ", ".join(_figure(one) for one in each.figures)
    numbers = " | ".join(part for part in (figures, each.sheet) if part)
    lines = [f"{each.what}: {numbers}" if numbers else each.what]
    standing = f" [{each.standing}]" if each.standing else ""
    rule = f" (rule {each.rule})" if each.rule else ""
    lines.append(f"{INDENT}{each.how}{standing}{rule}")
    lines += [f"{INDENT}from {one.name} = {one.value} ({one.origin})" for one in each.inputs]
    lines += [
        f"{INDENT}value {one.id} = {one.value}: {one.conditions} "
        f"[{one.standing}{_behind(one.source)}]"
        for one in each.values
    ]
    lines += [f"{INDENT}source {one}" for one in each.sources]
    return "\n".join(printable(line) for line in lines)


def _figure(one: Figure) -> str:
    """Return a figure less rounded than the plan and its papers print it."""
    low, high = f"{one.low:,.6g}", f"{one.high:,.6g}"
    return f"{high if low == high else f'{low}–{high}'} {one.unit}".strip()


def _behind(source: str) -> str:
    return f": {source}" if source else ""
