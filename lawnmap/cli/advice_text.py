"""What a plan advises beside its numbers, as lines for the terminal."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from lawnmap.schema import LEAVE


def of_zone(zone: pd.Series) -> Iterator[str]:
    """Yield the causes of the moss, what would stop it, and ways out of deep thatch."""
    parts = (
        ("likely causes", "causes"),
        ("what would stop it", "stop_it"),
        ("ways out of the thatch", "ways_out"),
    )
    for label, column in parts:
        if zone.get(column):
            yield f"  {label}: {zone[column]}"


def of_steps(steps: pd.DataFrame) -> Iterator[str]:
    """Yield how each step is done, what to look at twice, and what else would do."""
    for _, step in steps[steps["operation"] != LEAVE].iterrows():
        number = f"  {step['sequence']}. "
        if step["remark"]:
            yield number + str(step["remark"])
        if step["flag"]:
            yield f"{' ' * len(number)}look twice: {step['flag']}"
        if step["beside"]:
            yield f"{' ' * len(number)}or {step['beside']}"
