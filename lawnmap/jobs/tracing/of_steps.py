"""Tracers of the steps: amount, dose, area, passes, water, hours, wait, day and what is said."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from lawnmap.exports.wording.amounts import missing, text
from lawnmap.exports.wording.step_text import Step, steps
from lawnmap.jobs.tracing.inputs import (
    CONTENT,
    RATE,
    SPEED,
    TANK,
    Ground,
    of_card,
    of_choices,
    of_columns,
    of_machine,
    of_rule,
)
from lawnmap.jobs.tracing.of_passes import of_passes
from lawnmap.jobs.tracing.traced import Figure, Input, Traced, Value, told, traced
from lawnmap.pages.words import known
from lawnmap.processing.days.waits import ROLE, role, wait
from lawnmap.reference import tables
from lawnmap.reference.bringing import is_brought
from lawnmap.schema import DO, DONE, LEAVE, PRICING, RATE_IT
from lawnmap.treatments.label_dose import label_dose

Cells = dict[str, Any]
# Choices that a treatment asks for, by what its operation counts as.
CHOICES = {
    "iron": ("products.iron", "applicator.iron", "iron"),
    "blades": ("machines", "user", "crew.people"),
    "seed": ("products.seed", "applicator.seed", "seeding.rate_g_m2", "seeding.mixture"),
    "feed": ("products.feed", "applicator.feed", "rates.nitrogen_g_m2"),
    "dressing": ("products.dressing", "top_dressing.reason", "top_dressing.depth_mm"),
    "watering": ("rates.water_mm_a_day", "water_ban"),
    "clearing": ("bags.bag_l", "bags.bin_l"),
    LEAVE: ("leave", "reason", "turf_type"),
    RATE_IT: ("turf_type",),
}
# Values a treatment uses beyond those of its rules.
USED = {
    "clearing": ("sack_l", "bin_l", "barrow_l", "green_waste_loose", "arisings_bulking"),
    "dressing": ("dressing", "barrow_l"),
    "feed": ("shade_feed_share", "sun_vigorous_h"),
    "seed": ("moss_removed_share", "moss_removed_share_most", "bare_closes_pct", "first_cut_at_mm"),
    "iron": ("fe_low_g_m2", "fe_high_g_m2"),
}
AREA_RULES = {"iron": "step_area_iron", "blades": "step_area_blades"}
HOURS = {"clearing": "hours_clearing", "dressing": "hours_dressing"}
SPREAD = "lawn_sand"  # the iron whose nitrogen is left out of the feed
DAYS = ("day", "day_last", "days", "day_earliest", "day_latest", "day_why")
SCHEDULE = ("first_day", "last_day", "season", "weekdays", "crew.hours_a_day", "crew.people")
SAID = ("remark", "flag", "gates", "beside")
TAKEN = (DO, DONE, PRICING)


def of_steps(ground: Ground) -> Iterator[Traced]:
    """Trace every number of every step of the zone."""
    earlier: list[Cells] = []
    here = ground.plan.steps[ground.plan.steps["zone_id"] == ground.zone_id]
    for step in steps(here, "metric").get(ground.zone_id, []):
        one = OneStep(ground, step, tuple(earlier))
        yield from one.quantities()
        yield from one.work()
        yield from of_passes(ground, step)
        yield from one.days()
        yield from one.said()
        if step.status in TAKEN:
            earlier.append(step.row)


class OneStep:
    """One step of a zone: what each of its numbers rests on.

    Parameters
    ----------
    ground : Ground
    step : Step
        The step in words, with its row.
    earlier : tuple of dict
        The rows of the steps before it that take place.
    """

    def __init__(self, ground: Ground, step: Step, earlier: tuple[Cells, ...]) -> None:
        self.ground, self.step, self.row, self.earlier = ground, step, step.row, earlier
        self.role = ROLE.get(step.operation, step.operation)

    def quantities(self) -> Iterator[Traced]:
        """Trace what is needed: the amount, the dose, the ground and the water."""
        used = [*USED.get(self.role, ()), *text(self.row.get("sources")).split()]
        if self.role == "clearing":
            used.append(text(self.ground.zone.get("arisings")))
        yield self._by(
            "amount" if self.step.amount else "work",
            self.step.rule,
            figures=self._figures("amount_low", "amount", text(self.row.get("unit"))),
            sheet=self.step.amount,
            used=used,
            more=[*self._seed()],
            inputs=[
                *self._card(RATE + CONTENT),
                *self._brought(),
                *of_choices(CHOICES.get(self.role, ()), self.ground),
            ],
        )
        if self._above("dose"):
            yield self._by(
                "dose",
                "amount_by_dose",
                figures=self._figures("dose", "dose", text(self.row.get("dose_unit"))),
                sheet=self.step.dose,
                inputs=self._card(RATE),
                standing=text(self.row.get("standing")),
            )
        if self._above("area_m2"):
            yield self._by(
                "area",
                AREA_RULES.get(self.role, "step_area"),
                figures=self._figures("area_m2", "area_m2", "m²"),
                sheet=self.step.area,
            )
        if self._above("water_l"):
            yield self._water()

    def _water(self) -> Traced:
        known, generic = of_machine(self.step.machine, self.ground, TANK)
        product = self.ground.plan.specification.products.get(self.step.product)
        printed = None if product is None else label_dose(product).water_l_m2
        rule = "water_by_applicator" if printed is None else "water_by_label"
        return self._by(
            "water",
            rule if self.role == "iron" else self.step.rule,
            figures=self._figures("water_l", "water_l", "l"),
            sheet=self.step.water,
            inputs=[*self._card(RATE), *known],
            more=generic,
        )

    def work(self) -> Iterator[Traced]:
        """Trace the passes and the hours."""
        known, generic = of_machine(self.step.machine, self.ground, SPEED)
        if self._above("passes"):
            by_zone = text(self.ground.zone.get("passes_rule")) if self.role == "blades" else ""
            yield self._by(
                "passes",
                by_zone or self.step.rule,
                figures=self._figures("passes", "passes", "times over"),
                sheet=self.step.passes,
            )
        if not self._above("hours"):
            return
        is_own = self.step.rule.startswith("hours") or is_brought(self.step.rule)
        own = self.step.rule if is_own else "hours_by_machine"
        rule = HOURS.get(self.role, own)
        yield self._by(
            "hours",
            rule,
            figures=[
                *self._figures("hours_low", "hours", "h"),
                *self._figures("machine_hours", "machine_hours", "h at the machine"),
                *self._figures("most_hours_a_day", "most_hours_a_day", "h a day at most"),
            ],
            sheet=self.step.hours,
            inputs=known,
            more=generic,
            used=("vibration_usual_m_s2", "hav_limit_points")
            if self._above("machine_hours")
            else (),
        )

    def days(self) -> Iterator[Traced]:
        """Trace the wait and the day."""
        if self._above("wait_days"):
            label, published = self._waits()
            yield self._by(
                "wait",
                "wait_between",
                figures=self._figures("wait_days", "wait_days", "d"),
                sheet=self.step.wait,
                inputs=label,
                more=published,
            )
        if self.step.day:
            yield self._by(
                "day",
                "day_by_schedule",
                sheet="; ".join(each for each in (self.step.day, self.step.may) if each),
                inputs=[
                    *of_columns(DAYS, self.ground, self.row),
                    *of_choices(SCHEDULE, self.ground),
                ],
            )
        if text(self.row.get("day_rule")):
            yield self._by("season", text(self.row["day_rule"]))

    def _waits(self) -> tuple[list[Input], list[Value]]:
        """Return the days that earlier steps ask for: by a label card, or by the table of waits."""
        label, published = [], []
        for before in self.earlier:
            days = wait(before, self.row, self.ground.plan.specification)
            interval = tables.intervals().get((role(before), role(self.row)))
            what = f"{before['operation'].replace('_', ' ')} to {self.step.operation}"
            usual = interval and (interval.usual_days or interval.least_days or 0)
            if interval is not None and days == usual:
                published.append(
                    Value(
                        f"{interval.before} to {interval.after}",
                        f"{days} d",
                        interval.conditions,
                        interval.standing,
                        told(interval.source),
                    )
                )
            elif days:
                label.append(Input(what, f"{days} d", f"label card, {before['product']}"))
        return label, published

    def said(self) -> Iterator[Traced]:
        """Trace what a step says in words, when it names a number; cards stand at its amount."""
        said = "; ".join(text(self.row.get(name)) for name in SAID if text(self.row.get(name)))
        if any(letter.isdigit() for letter in said):
            used = [*USED.get(self.role, ()), *text(self.row.get("sources")).split()]
            gates = [
                Value(each.id, "to tick", each.sentence, each.standing, told(each.source))
                for each in tables.gates()
                if each.sentence.rstrip(".") in said
            ]
            yield self._by("in words", self.step.rule, sheet=said, used=used, more=gates)

    def _by(self, what: str, rule: str, **parts: Any) -> Traced:
        laid = {**self.ground.zone, **self.row}
        given = [*of_rule(rule, self.ground, self.row), *parts.pop("inputs", ())]
        title = f"step {self.row['sequence']:.0f}, {self.step.title}: {what}"
        return traced(title, rule, laid, inputs=given, **parts)

    def _card(self, lines: tuple[str, ...]) -> Iterator[Input]:
        yield from of_card(self.step.product, self.ground, lines)

    def _brought(self) -> Iterator[Input]:
        """Yield the nitrogen of iron on the same ground, which is left out of the feed."""
        if self.role != "feed" or text(self.ground.zone.get("iron_extent")) != "whole":
            return
        for row in self.earlier:
            nitrogen: float = row["nitrogen_g_m2"]
            if row["operation"] == SPREAD and nitrogen > 0:  # NaN where it brings none
                what = known("operation", text(row["operation"])).lower()
                name = f"nitrogen that step {row['sequence']:.0f}, {what}, brings"
                said = f"{tables.shown(nitrogen)} g/m²"
                yield Input(name, said, f"label card, {row['product']}")

    def _seed(self) -> Iterator[Value]:
        """Yield the published rate of the grasses, where it was used."""
        mixture = text(self.ground.zone.get("seed_mixture"))
        for each in tables.seeds().values():
            if self.step.rule == "seed_rate" and each.name == mixture:
                rate = f"{each.new_low_g_m2:g} to {each.new_high_g_m2:g} g/m² for a new lawn"
                yield Value(each.id, rate, each.name, each.standing, told(each.source))

    def _figures(self, low: str, high: str, unit: str) -> list[Figure]:
        if not self._above(high) and missing(self.row.get(high)):
            return []
        least = self.row[high] if missing(self.row.get(low)) else self.row[low]
        return [Figure(float(least), float(self.row[high]), unit)]

    def _above(self, column: str) -> bool:
        value = self.row.get(column)
        return value is not None and not missing(value) and 0 < float(value) < float("inf")
