"""The scenarios of docs/scenarios, planned as ``lawnmap plan`` does, for tests to ask about."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from lawnmap.jobs.calendar import calendar
from lawnmap.jobs.choices import choices
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan
from lawnmap.model import Plan
from lawnmap.reference import tables

SCENARIOS = Path(__file__).parents[2] / "docs" / "scenarios"


@dataclass(frozen=True)
class Planned:
    """The plan of a scenario."""

    plan: Plan

    def zone(self, zone_id: str = "lawn") -> dict[str, Any]:
        """Return what was chosen for a zone."""
        return {str(key): value for key, value in self.plan.zones.loc[zone_id].items()}

    def operations(self, zone_id: str = "lawn") -> list[str]:
        """Return the operations of a zone in the order of work."""
        steps = self.plan.steps
        return list(steps.loc[steps["zone_id"] == zone_id, "operation"])

    def step(self, operation: str, zone_id: str = "lawn") -> dict[str, Any]:
        """Return the only row of an operation in a zone."""
        return _only(self.plan.steps, operation, zone_id)

    def load(self, operation: str, zone_id: str = "lawn") -> dict[str, Any]:
        """Return the only row of loads of an operation in a zone."""
        return _only(self.plan.loads, operation, zone_id)

    def day(self, operation: str, zone_id: str = "lawn") -> dt.date:
        """Return the day of an operation."""
        return dt.date.fromisoformat(self.step(operation, zone_id)["day"])

    def why(self, operation: str, zone_id: str = "lawn") -> str:
        """Return the sentence behind an operation."""
        step = self.step(operation, zone_id)
        return tables.sentence(step["rule"], {**self.zone(zone_id), **step})

    def reason(self, column: str, zone_id: str = "lawn") -> str:
        """Return the sentence of the rule that a column of a zone names."""
        zone = self.zone(zone_id)
        return tables.sentence(zone[column], zone)

    def cost(self, part: str, what: str) -> dict[str, Any]:
        """Return the only row of the cost for something."""
        costs = self.plan.tables["costs"]
        found = costs[(costs["part"] == part) & costs["what"].str.startswith(what)]
        assert len(found) == 1, f"{len(found)} rows of {part}, {what}"
        return {str(key): value for key, value in found.iloc[0].to_dict().items()}

    @property
    def said(self) -> str:
        """Everything that is told beside the tables."""
        return "\n".join([*self.plan.warnings, *self.plan.dates.told, *self.plan.cautions])


def _only(table: pd.DataFrame, operation: str, zone_id: str) -> dict[str, Any]:
    found = table[(table["zone_id"] == zone_id) & (table["operation"] == operation)]
    assert len(found) == 1, f"{len(found)} rows of {operation} in {zone_id}"
    return {str(key): value for key, value in found.iloc[0].to_dict().items()}


def planned(folder: Path, today: str, depot: Path | None = None) -> Planned:
    """Plan the site in a folder as of a day."""
    opened, day = open_site(folder), dt.date.fromisoformat(today)
    specification = choices(opened, depot=depot, personal=folder / "nobody", today=day)
    return Planned(plan(opened.site, specification, calendar(opened), today=day))


@cache
def _of(name: str, today: str, depot: str) -> Planned:
    return planned(SCENARIOS / name, today, SCENARIOS / depot if depot else None)


@pytest.fixture(scope="session")
def scenario() -> Callable[..., Planned]:
    """Return the plan of a scenario: its name, the day, and another depot for some."""

    def get(name: str, today: str = "2026-08-01", depot: str = "") -> Planned:
        return _of(name, today, depot)

    return get


@pytest.fixture(scope="session")
def scenarios() -> Path:
    """Return the folder of the scenarios."""
    return SCENARIOS


@pytest.fixture(scope="session")
def plan_of() -> Callable[[Path, str], Planned]:
    """Return the function that plans a copy of a scenario."""
    return planned
