"""The job ``issue``: hand a plan over, and keep what was handed over as a fact."""

from __future__ import annotations

import datetime as dt
import hashlib
from dataclasses import asdict
from importlib.metadata import EntryPoint, version
from importlib.resources import files
from typing import Any

import pandas as pd

from lawnmap import plugins
from lawnmap.agronomy.unit_systems import METRIC
from lawnmap.exports.notice import SIGNED
from lawnmap.jobs import earlier
from lawnmap.jobs.export import papers
from lawnmap.model import Plan, Specification
from lawnmap.processing.sun.used import WORKED_OUT
from lawnmap.reference.reading import BROUGHT
from lawnmap.schema import DO
from lawnmap.store import issued as issued_store
from lawnmap.store import weather
from lawnmap.store.folder import Folder

HANDED_OVER = ("map", "sheet", "notice", "summary")


def issue(
    folder: Folder, plan: Plan, *, audience: str, name: str, units: str = ""
) -> tuple[issued_store.Issued, tuple[str, ...]]:
    """Issue a plan: its papers, its rows and everything it was worked out from.

    What was issued to the same person today already is not issued again.

    Parameters
    ----------
    folder : Folder
    plan : Plan
    audience : str
        Whom it is for: client, crew, public or owner.
    name : str
        To whom it was handed.
    units : str
        As :func:`lawnmap.jobs.export.render` takes them.

    Returns
    -------
    issued : Issued
    warnings : tuple of str
    """
    units = units or plan.specification.choice("units") or METRIC
    before, warnings = earlier.before(folder, plan.site)
    inputs = inputs_of(plan, folder, audience=audience, units=units, survey=before.name)
    to = {"audience": audience, "name": name}
    again = issued_store.handed(folder, inputs=inputs, to=to)
    if again is not None:
        return again, (f"This plan was issued to {name} already: nothing new was written.",)
    stamp = f"{issued_store.identity(inputs)}, {plan.today.isoformat()}"
    files = [
        each
        for paper in papers_of(plan)
        for each in papers(
            plan, paper, audience=audience, units=units, issued=stamp, earlier=before.earlier
        )
    ]
    issued, told = issued_store.issue(
        folder,
        day=plan.today,
        inputs=inputs,
        plan=rows_of(plan),
        to=to,
        files={each.name: each.data for each in files},
    )
    return issued, (*warnings, *told)


def papers_of(plan: Plan) -> list[str]:
    """Return the papers that are handed over: a gate sign only where something keeps people off."""
    there = plugins.available("exports")
    signs = plan.steps["status"].eq(DO) & plan.steps["operation"].isin(SIGNED)
    return [each for each in HANDED_OVER if each in there and (each != "notice" or signs.any())]


def inputs_of(
    plan: Plan, folder: Folder, *, audience: str, units: str, survey: str = ""
) -> dict[str, Any]:
    """Return everything that decides what the plan and its papers are, as JSON has it.

    Parameters
    ----------
    plan : Plan
    folder : Folder
        Of its site.
    audience, units : str
        Whom the papers are for, and the units on them.
    survey : str
        The closed survey that they are set beside; empty for none.
    """
    used = plan.specification
    return {
        "features": plan.site.document["features"],
        "title": plan.site.title,
        "surveyed": plan.site.header.get("surveyed"),
        "choices": _plain(dict(used.choices)),
        "zones": _plain({zone: dict(own) for zone, own in used.by_zone.items()}),
        "products": _plain({name: asdict(card) for name, card in used.products.items()}),
        "machines": _plain({name: asdict(card) for name, card in used.machines.items()}),
        "record": _digest(folder.record),
        "closed": _digest(folder.closed),
        "weather": _digest(folder.path / weather.NAME),
        **_sun(plan),
        **_survey(folder, survey),
        "lawnmap": version("lawnmap"),
        "reference": reference_digest(),
        **_outside(used),
        "options": {"audience": audience, "units": units},
        "today": plan.today.isoformat(),
    }


def _outside(specification: Specification) -> dict[str, Any]:
    """Return who brings the treatments that are not ours, with the version; nothing without any."""
    named = {*specification.choices["operations"]}
    named |= {name for own in specification.by_zone.values() for name in own.get("operations", ())}
    there = plugins.available("treatments")
    brought = {
        name: " ".join(sorted(_labelled(point) for point in there[name]))
        for name in plugins.others("treatments")
        if name in named
    }
    return {"outside": brought} if brought else {}


def _labelled(point: EntryPoint) -> str:
    return f"{plugins.owner(point)} {point.dist.version if point.dist else ''}".strip()


def _sun(plan: Plan) -> dict[str, Any]:
    """Return the hours of sun that were worked out and used; nothing for a plan without them."""
    hours = plan.zones.loc[plan.zones["sun_source"] == WORKED_OUT, "sun_hours"]
    return {"sun": _plain(hours.to_dict())} if len(hours) else {}


def _survey(folder: Folder, name: str) -> dict[str, Any]:
    """Return the survey that the map sets beside the plan; nothing for a map without one."""
    path = folder.surveys / f"{name}.geojson"
    return {"before": {"survey": name, "digest": _digest(path)}} if name else {}


def rows_of(plan: Plan) -> dict[str, Any]:
    """Return the plan's tables as lists of objects."""
    zones = pd.DataFrame(plan.zones.drop(columns="geometry")).reset_index()
    tables = {"zones": zones, "steps": plan.steps, "totals": plan.totals, "loads": plan.loads}
    return {name: _plain(table.to_dict("records")) for name, table in tables.items()}


def reference_digest() -> str:
    """Return a digest of the tables of published values: a changed value is another plan.

    What outside treatments brought is part of it.
    """
    total = hashlib.sha256()
    for each in sorted(files("lawnmap.reference").iterdir(), key=lambda path: path.name):
        if each.name.endswith(".csv"):
            total.update(each.name.encode() + each.read_bytes().replace(b"\r\n", b"\n"))
    for name, lines in sorted(BROUGHT.items()):
        total.update(f"{name}: {lines}".encode() if lines else b"")
    return total.hexdigest()[:12]


def _digest(path: Any) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()[:12] if path.is_file() else ""


def _plain(value: Any) -> Any:
    """Return a value as JSON has it."""
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, dt.date):
        return value.isoformat()
    if hasattr(value, "item"):
        value = value.item()
    return None if value is pd.NA or (isinstance(value, float) and pd.isna(value)) else value
