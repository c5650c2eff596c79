"""What a plan advises beside its numbers, as lines for the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import pandas as pd

from lawnmap.exports.wording.sentences import sentence
from lawnmap.schema import NOT_ALLOWED, NOT_SET

WEIGHED = ("blades_by_cost", "blades_by_time")
STOPPED = (NOT_ALLOWED, NOT_SET)


def of_zone(zone: Mapping[str, Any], units: str) -> Iterator[str]:
    """Yield the causes of the moss, what would stop it, ways out, and why not the usual blades."""
    parts = (
        ("likely causes", "causes"),
        ("what would stop it", "stop_it"),
        ("ways out of the thatch", "ways_out"),
    )
    for label, column in parts:
        if zone.get(column):
            yield f"  {label}: {zone[column]}"
    if zone.get("blades_rule") in WEIGHED:
        yield f"  blades: {sentence(zone['blades_rule'], zone, units)} {zone['blades_weighed']}."


def of_steps(steps: pd.DataFrame, zone: Mapping[str, Any], units: str) -> Iterator[str]:
    """Yield how each step is done or why it is not, what to look at twice, what else would do."""
    for _, step in steps.iterrows():
        number = f"  {step['sequence']}. "
        if step["remark"]:
            yield number + str(step["remark"])
        elif step["status"] in STOPPED and step["rule"]:
            yield number + sentence(str(step["rule"]), {**zone, **step}, units)
        if step["flag"]:
            yield f"{' ' * len(number)}look twice: {step['flag']}"
        if step["beside"]:
            yield f"{' ' * len(number)}or {step['beside']}"
