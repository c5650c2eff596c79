"""The reasons behind numbers and choices, made into sentences where they are shown."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from lawnmap.agronomy.unit_systems import METRIC
from lawnmap.exports.wording.amounts import missing, text
from lawnmap.exports.wording.sentences import in_units
from lawnmap.pages.words import word
from lawnmap.reference import tables
from lawnmap.reference.rows import Source, SourceMissing


class Whys:
    """Collects reasons; equal ones and their sources are kept once and named by their place."""

    def __init__(self, units: str = METRIC) -> None:
        self._units = units
        self._reasons: dict[tuple[str, str, tuple[int, ...]], int] = {}
        self._sources: dict[str, int] = {}

    def place(self, rule_id: str, row: Mapping[str, Any]) -> int | None:
        """Return the place of the reason that a rule gives for a row; None without a rule.

        Parameters
        ----------
        rule_id : str
        row : mapping
            Columns to values. ``sources`` (ids of values) and ``standing`` of a step, where it
            has them, are added to the rule's own.
        """
        if not rule_id:
            return None
        sentence, standing, cited = reason(rule_id, row, self._units)
        places = tuple(self._sources.setdefault(each, len(self._sources)) for each in cited)
        return self._reasons.setdefault((sentence, standing, places), len(self._reasons))

    def listed(self) -> list[dict[str, Any]]:
        """Return the reasons in the order of their places."""
        return [
            {"sentence": sentence, "standing": standing, "sources": list(sources)}
            for sentence, standing, sources in self._reasons
        ]

    def sources(self) -> list[str]:
        """Return what was cited in the order of its places."""
        return list(self._sources)


def reason(
    rule_id: str, row: Mapping[str, Any], units: str = METRIC
) -> tuple[str, str, tuple[str, ...]]:
    """Return sentence, standing and sources in words of a rule for one row.

    A plugin's rule that the tables do not have is named, so that its owner can be asked.
    """
    standing = text(row.get("standing"))
    ids = text(row.get("sources")).split()
    try:
        rule = tables.rule(rule_id)
        sentence = in_units(tables.sentence(rule_id, row), units)
    except SourceMissing:
        return word("why.unknown", rule=rule_id), standing or word("why.none"), ()
    cited = dict.fromkeys(_cited([*rule.sources, *rule.values, *ids]))
    return sentence, standing or rule.standing, tuple(cited)


def over(zone: Mapping[str, Any], step: Mapping[str, Any]) -> dict[str, Any]:
    """Return a zone's row with what its step says of itself laid over it."""
    return {**zone, **{key: value for key, value in step.items() if not missing(value)}}


def _cited(ids: list[str]) -> Iterator[str]:
    """Return the sources behind ids of values and sources; one nobody knows is left out."""
    for each in ids:
        if each in tables.values():
            source = tables.values()[each].source
            if source in tables.sources():
                yield _shown(tables.sources()[source])
        elif each in tables.sources():
            yield _shown(tables.sources()[each])


def _shown(source: Source) -> str:
    parts = (source.author, source.title, source.publisher, source.year, source.where)
    return ", ".join(dict.fromkeys(part for part in parts if part))
