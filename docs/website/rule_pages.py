"""A page for each rule: its sentence, what it reads, who says so, and where it is used."""

from __future__ import annotations

from collections.abc import Iterator

import code_read
import treatment_facts
from item_text import bullets, by_name, cited, column_link, facts, link, page, table, values_table

from lawnmap.reference import tables
from lawnmap.reference.rows import Rule

# Rules are grouped by the part of the house that names them first.
GROUPS = (
    ("lawnmap.processing.judgement", "Judging a zone, choosing blades, passes and depth"),
    ("lawnmap.processing.iron", "Iron: which card, where, how often"),
    ("lawnmap.treatments", "Steps of work and their amounts"),
    ("lawnmap.processing.setting_out", "Strips to keep clear, pass lines, loads on the ground"),
    ("lawnmap.processing.buying", "Buying, loads, weighing out"),
    ("lawnmap.processing.days", "Days and seasons"),
    ("lawnmap.processing", "Other steps of the plan"),
    ("lawnmap", "Elsewhere"),
)
FILLED = "A plan fills each name of a column with what the zone or step holds."
WORKS = ("lawnmap.treatments", "lawnmap.processing", "lawnmap.geometry", "lawnmap.agronomy")
NOBODY = "Nothing names it at present: it is kept as background."


class _Blanks(dict[str, object]):
    """Fills each blank of a sentence with the name of the column that stands for it."""

    def get(self, key: str, default: object = None) -> object:  # noqa: ARG002 - as dict has it
        return column_link(key)


def pages() -> dict[str, str]:
    """Return the page of each rule by its path, and the page that lists them."""
    made = {f"rules/{each.id}.md": _page(each) for each in tables.rules().values()}
    made["rules/index.md"] = _index()
    return made


def sentence(rule: Rule) -> str:
    """Return the sentence of a rule with values filled in, and names of columns in its blanks."""
    return tables.sentence(rule.id, _Blanks())


def users(rule: Rule) -> tuple[str, ...]:
    """Return the modules that a rule is used by; a season names its own rules in its table."""
    found = code_read.users(rule.id)
    of_season = any(rule.id in (each.rule, each.flag) for each in tables.seasons())
    return (*found, "lawnmap.processing.days.seasons") if of_season and not found else found


def _page(rule: Rule) -> str:
    seasons = [each for each in tables.seasons() if rule.id in (each.rule, each.flag)]
    return page(
        rule.id,
        sentence(rule),
        FILLED if tables.BLANK.search(rule.sentence) else "",
        facts(
            [
                ("Reads", ", ".join(map(column_link, rule.inputs)) or "no column: it always holds"),
                ("Standing", rule.standing),
            ]
        ),
        "## Sources",
        bullets(cited(rule.sources), f"None: {rule.standing}."),
        "## Values",
        values_table(rule.values) if rule.values else "It rests on no published value.",
        "## Where it is used",
        bullets(_used(rule), NOBODY),
        "## Seasons" if seasons else "",
        bullets(
            (
                f"{each.role}, {each.season}: {each.first[0]:02d}-{each.first[1]:02d} to "
                f"{each.last[0]:02d}-{each.last[1]:02d}"
                for each in seasons
            ),
            "",
        ),
        "[All rules](index.md). What a plan made of it for a zone: `lawnmap plan SITE --why ZONE`.",
    )


def _used(rule: Rule) -> Iterator[str]:
    for name in treatment_facts.order():
        if rule.id in treatment_facts.rules(name):
            yield f"treatment {link('treatment', name)}"
    told = []
    for module in users(rule):
        if module.startswith(WORKS):
            yield f"`{module}`: {code_read.first_line(module)}"
        else:
            told.append(f"`{module}`")
    if told:
        yield f"looked at, or told, by {', '.join(told)}"


def _index() -> str:
    grouped: dict[str, list[Rule]] = {title: [] for _, title in GROUPS}
    for rule in tables.rules().values():
        grouped[_group(rule)].append(rule)
    parts = []
    for title, rules in grouped.items():
        if rules:
            rows = [
                [f"[`{each.id}`]({each.id}.md)", each.standing, sentence(each)] for each in rules
            ]
            parts += [f"## {title}", table(["rule", "standing", "says"], rows)]
    return page(
        "Rules",
        "Why a number or a choice is as it is: every recommended number of a plan names its rule. "
        "Names of columns stand for what a zone or step holds. Values and sources are on "
        "[the page of reference values](../reference_values.md).",
        *parts,
    )


def _group(rule: Rule) -> str:
    used = users(rule) or ("lawnmap",)
    return next(title for room, title in GROUPS if used[0].startswith(room))


def of_column(name: str) -> list[Rule]:
    """Return the rules that read a column."""
    assert name in by_name()  # noqa: S101 - a page asks for its own column only
    return [each for each in tables.rules().values() if name in each.inputs]
