"""What goes on the van for one visit: products by the load, machines, bags, and kit by the work."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from lawnmap.exports.crew import care
from lawnmap.exports.crew.job import Job
from lawnmap.exports.crew.visits import Visit
from lawnmap.exports.wording.amounts import missing, number, quantity, span, text
from lawnmap.exports.wording.load_text import reading
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.step_text import Step
from lawnmap.pages.words import word
from lawnmap.reference import tables
from lawnmap.reference.rows import Kit

CLEARED = ("clearing", "aerating")
MIXED = "spray"
BAG_L = 60.0
NO_SOURCE = "common practice, no source"


class Line(NamedTuple):
    """One thing to load.

    Attributes
    ----------
    part : str
        Under which heading it stands: product, machine, or a part of the reference table ``kit``.
    what : str
    much : str
        How much of it, by the load where it is weighed out.
    zone_id : str
        The zone it is for; empty when it is for all.
    standing : str
        Of a line that comes from the reference table.
    """

    part: str
    what: str
    much: str = ""
    zone_id: str = ""
    standing: str = ""


def lines(job: Job, visit: Visit) -> list[Line]:
    """Return what to load for a visit, by part in the order of the list.

    One site's day; the days of several sites are their lines one after the other.
    """
    here = [*visit.steps, *visit.goes_on]
    return [
        *_products(job, visit.steps),
        *_machines(here),
        *_water(job, visit.steps),
        *_bags(job, visit.steps),
        *_signs(job),
        *_kit(job, here),
    ]


def _products(job: Job, steps: Iterable[Step]) -> Iterator[Line]:
    """Yield each product with all of it, then as it is weighed out: load by load for each zone."""
    by_product: dict[str, list[Step]] = {}
    for step in steps:
        if step.product:
            by_product.setdefault(step.product, []).append(step)
    for product, found in by_product.items():
        yield Line("product", product, _in_all(found, job.units))
        for step in found:
            loads = records(job.loads([step]))
            weighed = [each for row in loads for each in _weighed(row, job.units)]
            yield Line("product", product, ", ".join(weighed) or step.amount, step.zone_id)


def _in_all(found: Iterable[Step], units: str) -> str:
    """Return the most of one product that a day takes."""
    rows = [step.row for step in found if not missing(step.row.get("amount"))]
    if not rows:
        return ""
    most = math.fsum(float(row["amount"]) for row in rows)
    amount = quantity(most, text(rows[0].get("unit")), units)
    return word("loading.in_all", amount=amount)


def _weighed(row: Mapping[str, Any], units: str) -> Iterator[str]:
    """Yield how many loads of how much; a spreader carries them once for each run."""
    runs = 1.0 if missing(row.get("runs")) else float(row["runs"])
    unit = text(row.get("product_unit")) or "g"
    full = 0.0 if missing(row.get("full_loads")) else float(row["full_loads"])
    for which, count in (("full", full * runs), ("last", runs)):
        amount = _amount(row, which)
        if amount > 0 and count > 0:
            weighed = not missing(row.get(f"{which}_weigh"))
            said = reading(amount, unit) if weighed else quantity(amount, unit, units)
            yield said if count == 1 else word("loading.times", count=number(count), each=said)


def _amount(row: Mapping[str, Any], which: str) -> float:
    names = (f"{which}_weigh", f"{which}_product")
    return next((float(row[name]) for name in names if not missing(row.get(name))), 0.0)


def _machines(steps: Iterable[Step]) -> Iterator[Line]:
    hours: dict[str, float] = {}
    bare_hands = tables.machine("hand_spread").name
    for step in steps:
        if step.machine and step.machine != bare_hands:
            told = not missing(step.row.get("machine_hours"))
            spent = float(step.row["machine_hours"]) if told else 0.0
            hours[step.machine] = hours.get(step.machine, 0.0) + spent
    for name, most in hours.items():
        runs = word("loading.runs", hours=span(None, most, "h")) if most > 0 else ""
        yield Line("machine", name, runs)


def _water(job: Job, steps: Iterable[Step]) -> Iterator[Line]:
    litres = math.fsum(
        float(step.row["water_l"])
        for step in steps
        if step.row.get("kind") == MIXED and not missing(step.row.get("water_l"))
    )
    if litres > 0:
        yield Line("fill", word("loading.water"), quantity(litres, "l", job.units))


def _bags(job: Job, steps: Iterable[Step]) -> Iterator[Line]:
    """Yield bags for what comes off, when a site clears into bags at all."""
    litres = math.fsum(
        float(step.row["amount"])
        for step in steps
        if step.operation in CLEARED and not missing(step.row.get("amount"))
    )
    if litres > 0:
        choices = job.paper.plan.specification.choices.get("bags") or {}
        bag_l = float(choices.get("bag_l") or BAG_L)
        bags = word("loading.bags", size=quantity(bag_l, "l", job.units))
        yield Line("tools", bags, number(math.ceil(litres / bag_l)))


def _signs(job: Job) -> Iterator[Line]:
    """Yield a sign for every way in, and one at the least."""
    features = job.paper.plan.site.features
    ways = int((features["feature"] == "access").sum())
    yield Line("safety", word("loading.signs"), number(max(ways, 1)), standing=NO_SOURCE)


def _kit(job: Job, steps: list[Step]) -> Iterator[Line]:
    asked = {"any", *care.kinds(steps), *(step.operation for step in steps)}
    items: dict[str, Kit] = {}
    for each in tables.kit():
        if not asked.isdisjoint(each.applies_to):
            items.setdefault(each.item, each)
    reach = _cable(job, steps)
    for each in items.values():
        much = reach if each.id == "cable" else ""
        yield Line(each.part, each.item, much, standing=each.standing)


def _cable(job: Job, steps: Iterable[Step]) -> str:
    """Return how far a cable has to reach on the day; empty when nobody worked it out."""
    passes = job.paper.plan.tables.get("passes")
    if passes is None or "cable_m" not in passes.columns:
        return ""
    zones = {step.zone_id for step in steps}
    far = passes[passes["zone_id"].isin(zones)]["cable_m"].dropna()
    if far.empty:
        return ""
    return word("loading.reach", length=quantity(math.ceil(float(far.max())), "m", job.units))
