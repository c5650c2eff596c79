"""One page for the environment officer: what is put down where, and what keeps it out of water."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from lawnmap.agronomy.unit_systems import METRIC
from lawnmap.exports.parts import front
from lawnmap.exports.parts import iron as iron_html
from lawnmap.exports.parts.cells import head
from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.amounts import area, missing, number, per_area, span, text
from lawnmap.exports.wording.legal_strips import legal_strips
from lawnmap.exports.wording.listing import in_a_row
from lawnmap.exports.wording.rows import records, zone_rows
from lawnmap.exports.wording.sentences import sentence
from lawnmap.exports.wording.step_days import when
from lawnmap.pages.escape import Html, escape, join, said, tag
from lawnmap.pages.page import asset, filled, style
from lawnmap.pages.words import known, starting, word
from lawnmap.paper import Paper
from lawnmap.schema import DO, DONE

TITLE = "sheet for the environment officer, to print"
SUFFIX = ".html"
AUDIENCE = "client"

SHEETS = ("base.css", "looks.css", "paper.css", "papers/environment.css")
NEAR_WATER = ("water", "drain")
G_M2_TO_KG_HA = 10.0
IF_NEEDED = "iron_repeat"  # the rule of a dose that is put down only if moss is still green
RULES = ("environment_mixing", "environment_rinse", "environment_spill", "environment_arisings")


Row = Mapping[str, Any]


def render(paper: Paper) -> bytes:
    """Return the page.

    Parameters
    ----------
    paper : Paper
        Already cut down to its audience.

    Returns
    -------
    bytes
        UTF-8. The same paper gives the same bytes.
    """
    steps = [
        row
        for row in records(paper.plan.steps)
        if row.get("status") in (DO, DONE)
        and not missing(row.get("iron_g_m2"))
        and not missing(row.get("amount"))
    ]
    parts = {
        "put_down": _put_down(paper, steps),
        "considered": _considered(paper),
        "water": _water(paper),
        "handling": _list(sentence(each, {}, paper.units) for each in RULES),
        "told": _fields(),
    }
    sections = [
        tag("section", tag("h2", word(f"environment.{key}")), shown) for key, shown in parts.items()
    ]
    sections.insert(3, iron_html.gates(_of_iron(paper)))
    slots = {
        "title": escape(f"{word('environment.title')}: {front.title(paper)}"),
        "head": style(*map(asset, SHEETS), front.running_head(paper)),
        "heading": front.heading(paper, word("environment.title")),
        "sections": join(sections),
    }
    return filled("papers/environment.html", slots).encode("utf-8")


def _of_iron(paper: Paper) -> Paper:
    """Return the paper with the steps that put iron down."""
    steps = paper.plan.steps
    return paper.of(plan=replace(paper.plan, steps=steps[steps["iron_g_m2"].notna()]))


def _put_down(paper: Paper, steps: Sequence[Row]) -> Html:
    """Return a row a product: how much of it and of iron, on how much of the grass."""
    if not steps:
        return tag("p", word("environment.no_iron"))
    numbers = {
        text(row["product"]): text(row.get("authorisation_no"))
        for row in records(paper.plan.totals)
    }
    rows = [
        _product(paper, product, numbers.get(product, ""), own)
        for product, own in _by_product(steps)
    ]
    columns = ("product", "number", "days", "dose", "iron", "treated")
    top = head((word(f"environment.{each}"), "") for each in columns)
    return tag("table", top, tag("tbody", join(rows)), class_="put")


def _by_product(steps: Sequence[Row]) -> Iterator[tuple[str, list[Row]]]:
    for product in dict.fromkeys(text(row["product"]) for row in steps):
        yield product, [row for row in steps if text(row["product"]) == product]


def _product(paper: Paper, product: str, number_on: str, steps: list[Row]) -> Html:
    units, ground = paper.units, math.fsum(paper.plan.zones["ground_area_m2"].fillna(0.0))
    covered = math.fsum(float(row["area_m2"]) for row in steps)
    iron_kg = math.fsum(float(row["iron_g_m2"]) * float(row["area_m2"]) for row in steps) / 1000
    amount = math.fsum(float(row["amount"]) for row in steps)
    least = math.fsum(_least(row) for row in steps)
    least_iron_kg = iron_kg * least / amount if amount else 0.0
    zones: dict[str, float] = {}
    for row in steps:  # two applications on the same ground are one area
        zones[row["zone_id"]] = max(zones.get(row["zone_id"], 0.0), float(row["area_m2"]))
    treated = math.fsum(zones.values())
    rate = iron_kg * 1000 / covered if covered else 0.0
    cells = (
        said(product),
        said(number_on) if number_on else tag("strong", word("environment.no_number")),
        join(
            [
                *(tag("p", each) for each in _days(steps)),
                *(tag("p", said(each)) for each in _again(paper, steps)),
            ]
        ),
        join(
            [
                span(least, amount, text(steps[0]["unit"]), units),
                tag("small", said(_doses(steps, units))),
            ]
        ),
        join(
            [
                span(least_iron_kg, iron_kg, "kg", units),
                tag("small", _rates(rate, units)),
            ]
        ),
        word(
            "environment.share",
            treated=area(treated, units=units),
            share=number(100 * treated / ground) if ground else "0",
        ),
    )
    return tag("tr", join(tag("td", each) for each in cells))


def _days(steps: list[Row]) -> list[str]:
    in_order = sorted(steps, key=lambda row: text(row.get("day")))
    return [each for each in dict.fromkeys(when(row) for row in in_order) if each]


def _least(row: Row) -> float:
    return float(row["amount"] if missing(row.get("amount_low")) else row["amount_low"])


def _again(paper: Paper, steps: list[Row]) -> list[str]:
    """Return what is put down again only if it is needed: it counts, and has no day yet."""
    rows, told = dict(zone_rows(paper.plan.zones)), []
    times: Counter[str] = Counter()
    for step in steps:
        if step.get("rule") != IF_NEEDED:
            continue
        zone_id = text(step["zone_id"])
        times[zone_id] += 1
        if not text(step.get("day")):
            name = zone_text.name(rows.get(zone_id, {}), zone_id)
            where = area(float(step["area_m2"]), units=paper.units)
            time = known("environment", f"time_{times[zone_id] + 1}")
            told.append(word("environment.again", time=time, zone=name, area=where))
    return told


def _rates(rate: float, units: str) -> str:
    """Return iron on the ground, as a grounds officer and as a farmer counts it."""
    if units == METRIC:
        return f"{rate:.2g} g/m², {rate * G_M2_TO_KG_HA:.3g} kg/ha"
    on_field = per_area(rate * G_M2_TO_KG_HA, "kg/ha", units)
    return f"{per_area(rate, 'g/m²', units)}, {on_field}"


def _doses(steps: list[Row], units: str) -> str:
    doses = {_dose(row, units) for row in steps
             if not missing(row.get("dose"))}  # fmt: skip
    return ", ".join(sorted(doses))


def _dose(row: Row, units: str) -> str:
    dose, unit = float(row["dose"]), text(row["dose_unit"])
    return f"{dose:.4g} {unit}" if units == METRIC else per_area(dose, unit, units)


def _considered(paper: Paper) -> Html:
    """Return what was found to cause the moss and what is done about that before any iron."""
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    for zone_id, row in zone_rows(paper.plan.zones):
        found[text(row.get("causes")), text(row.get("stop_it"))].append(
            zone_text.name(row, zone_id)
        )
    lines = [
        tag(
            "li",
            tag("strong", said(in_a_row(names))),
            ": ",
            said(causes),
            tag("small", said(ways)),
        )
        for (causes, ways), names in found.items()
        if causes or ways
    ]
    return tag("ul", join(lines)) if lines else tag("p", word("environment.nothing_found"))


def _water(paper: Paper) -> Html:
    """Return drains, wells and water, the strips along each with who set them, and the zones'."""
    features = paper.plan.site.features
    near = features[features["feature"].isin(NEAR_WATER)]
    named = [
        text(name) or known("feature", kind)
        for kind, name in zip(near["feature"], near["name"], strict=True)
    ]
    apart = legal_strips(paper)
    hidden = {word("zone.iron_area")}
    hidden |= {word(f"zone.{each}") for each in zone_text.LEGAL} if apart else set()
    strips: dict[str, list[str]] = defaultdict(list)
    for zone_id, row in zone_rows(paper.plan.zones):
        lines = [line for line in zone_text.strips(row, paper.units) if line.label not in hidden]
        told = "; ".join(f"{line.label}: {line.text}" for line in lines)
        strips[told].append(zone_text.name(row, zone_id))
    shown = [tag("li", tag("strong", said(line.label)), ": ", said(line.text)) for line in apart]
    shown += [
        tag("li", tag("strong", said(in_a_row(names))), ": ", said(told))
        for told, names in strips.items()
        if told
    ]
    mapped = in_a_row(named) if named else word("environment.none_mapped")
    return join([tag("p", said(mapped)), tag("ul", join(shown))])


def _list(sentences: Iterator[str]) -> Html:
    return tag("ul", join(tag("li", said(each)) for each in sentences))


def _fields() -> Html:
    """Return what only people know, to be filled in by hand."""
    lines = [
        tag("div", tag("dt", each), tag("dd", tag("span", class_="line")))
        for each in starting("environment_field").values()
    ]
    return tag("dl", join(lines), class_="fields")
