"""A page for each treatment: what it plans, from what, with which cautions."""

from __future__ import annotations

import treatment_facts as known
from item_text import (
    bullets,
    column_link,
    facts,
    link,
    module_line,
    named,
    ours,
    page,
    plugin,
    section,
    table,
    values_table,
)
from rule_pages import sentence

from lawnmap.reference import tables

NOT_SET = "not set"


def pages() -> dict[str, str]:
    """Return the page of each treatment by its path, and the page that lists them."""
    made = {f"treatments/{name}.md": _page(name) for name in known.order()}
    made["treatments/index.md"] = _index()
    return made


def _page(name: str) -> str:
    return page(
        plugin("treatments", name).TITLE,
        section("treatments.md", name),
        _facts(name),
        "## Cautions",
        bullets(
            (f"{each.sentence} ({each.standing})" for each in known.cautions(name)),
            "None of its own. What the machine or the site adds stands in the plan.",
        ),
        "## On the day",
        bullets(known.ticks(name), "Nothing to tick before it begins."),
        "## When",
        _seasons(name),
        "## Waits",
        _waits(name),
        "## Rules",
        table(
            ["rule", "says"],
            [[link("rule", each), sentence(tables.rule(each))] for each in known.rules(name)],
        ),
        "## Columns it gives",
        f"In the table [`steps`](../columns.md#steps): {_columns(known.gives(name))}.",
        "## Columns it reads",
        f"Of the [zones](../columns.md#zones): {_columns(known.reads(name))}.",
        "## Values",
        values_table(known.values(name)),
        "## On the van",
        bullets((f"{each.part}: {each.item}" for each in known.kit(name)), "Nothing beside."),
        "[All treatments](index.md). [How a zone is judged](../treatments.md#the-judgement).",
    )


def _facts(name: str) -> str:
    kind = known.kind(name)
    ground = "feed_area_m2" if name == "feeding" else known.GROUND.get(kind, "ground_area_m2")
    return facts(
        [
            ("Name in a specification", f"`{name}`"),
            ("Kind", f"{kind}: {known.OF_KIND[kind]}"),
            ("Ground", column_link(ground)),
            ("Code", module_line(ours("treatments")[name])),
        ]
    )


def _columns(names: tuple[str, ...]) -> str:
    return ", ".join(map(column_link, names))


def _seasons(name: str) -> str:
    rows = [
        [
            each.role,
            each.season,
            "{:02d}-{:02d} to {:02d}-{:02d}".format(*each.first, *each.last),
            each.conditions,
            link("rule", each.rule),
            each.standing,
        ]
        for each in known.seasons(name)
    ]
    if not rows:
        return "No season of its own: it goes with the step that it belongs to."
    said = "Month and day, north of the equator; six months later south of it."
    head = ["counts as", "season", "days", "holds for", "rule", "standing"]
    return f"{said}\n\n{table(head, rows)}"


def _waits(name: str) -> str:
    """Return the days between this and other steps; what nobody has set is called so."""
    rows = [
        [each.before, each.after]
        + [
            NOT_SET if days is None else str(days)
            for days in (each.least_days, each.usual_days, each.most_days)
        ]
        + [each.conditions, each.standing, named(each.source) if each.source else ""]
        for each in known.waits(name)
    ]
    if not rows:
        return "None."
    head = ["before", "after", "least days", "usual", "most", "holds for", "standing", "source"]
    said = (
        f"It counts as *{known.role(name)}*. A wait of your label comes before these. Where least "
        "and usual days are not set, only the label can say."
    )
    return f"{said}\n\n{table(head, rows)}"


def _index() -> str:
    rows = [
        [
            f"[`{name}`]({name}.md)",
            plugin("treatments", name).TITLE,
            f"{known.kind(name)}",
            str(len(known.rules(name))),
        ]
        for name in known.order()
    ]
    return page(
        "Treatments, one by one",
        "In the order of the work. How a zone is judged, and what each operation plans, in prose: "
        "[treatments](../treatments.md).",
        table(["treatment", "what", "kind", "rules"], rows),
        "## Kinds",
        "The kind picks strips, pass lines, loads and cautions.",
        table(["kind", "what it means"], [[k, said] for k, said in known.OF_KIND.items()]),
    )
