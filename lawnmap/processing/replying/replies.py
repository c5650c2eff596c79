"""A reply becomes part of a site: facts field by field, and what it adds to the map.

Three states of a field are compared: what the page was made with, what the reply says, and what the
site says now. Where only one of the two changed it, that one is taken; where both did, each in its
own way, the field is a conflict and stays as the site has it until somebody chooses.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from lawnmap.errors import InputRefused
from lawnmap.files.limits import SITE
from lawnmap.model import Site
from lawnmap.processing.replying import threeway
from lawnmap.processing.replying.reply_content import Reply
from lawnmap.processing.replying.reply_features import add, facts_of

CHANGED, ADDED, CONFLICT = "changed", "added", "conflict"
MINE, THEIRS = "mine", "theirs"


class Line(NamedTuple):
    """One thing that a reply does to a site.

    Attributes
    ----------
    what : str
        ``changed``, ``added`` or ``conflict``.
    where : str
        The zone, or the name of what was added.
    field : str
        The column, or the kind of what was added.
    before, after : object
        What the site has and what the reply says; None for nothing.
    """

    what: str
    where: str
    field: str
    before: Any = None
    after: Any = None


@dataclass(frozen=True)
class Merged:
    """A site with a reply in it.

    Attributes
    ----------
    zone_ids : mapping of str to str
        Zones by what the reply calls them.
    """

    site: Site
    lines: list[Line] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    zone_ids: Mapping[str, str] = field(default_factory=dict)

    @property
    def conflicts(self) -> list[Line]:
        """The fields that both sides changed, each in its own way."""
        return [line for line in self.lines if line.what == CONFLICT]


def check_home(site: Site, reply: Reply) -> None:
    """Check that a reply is for this site.

    Raises
    ------
    InputRefused
        When it is for another one.
    """
    if reply.site_id != site.header.get("site_id", ""):
        raise InputRefused(
            f"is a reply for another site ({reply.title[:60]!r})",
            remedy="Give the folder of that site with --into.",
        )


def merge(
    site: Site,
    reply: Reply,
    *,
    seen: Collection[str] = (),
    take: str | None = None,
    skip_bad: bool = False,
) -> Merged:
    """Return a site with what a reply says of it.

    Parameters
    ----------
    site : Site
    reply : Reply
    seen : collection of str, optional
        Ids of what was read with earlier replies, see ``reply_features.add``.
    take : str, optional
        ``theirs`` or ``mine``: whose word holds where both sides changed a field; without it the
        field stays and is a conflict.
    skip_bad : bool
        Whether features that are wrong are left out.

    Raises
    ------
    InputRefused
        When it is for another site, or a value in it does not fit.
    """
    check_home(site, reply)
    added = add(site, reply, seen, skip_bad=skip_bad)
    warnings = [*_of_revision(site, reply), *added.warnings]
    lines = _facts(reply, added.features, added.names, take, warnings)
    lines += [Line(ADDED, name, kind) for kind, name in added.told]
    zones = sum(each["properties"].get("feature") == "zone" for each in added.features)
    if zones > SITE.zones:
        raise InputRefused(f"the site would have more than {SITE.zones:,} zones")
    merged = site.with_features(added.features)
    merged = merged.with_header(**added.header) if added.header else merged
    return Merged(merged, lines, warnings, added.names)


def _of_revision(site: Site, reply: Reply) -> list[str]:
    """Return what is odd about the states the reply began from and comes to."""
    if reply.revision > site.revision:
        return [
            f"The reply was made from revision {reply.revision}, and the site is at "
            f"{site.revision}: look at each change."
        ]
    return []


def _facts(
    reply: Reply,
    features: list[dict[str, Any]],
    names: Mapping[str, str],
    take: str | None,
    warnings: list[str],
) -> list[Line]:
    """Put the facts of a reply on the zones among `features`, and return what each became."""
    index = {
        each["properties"]["zone_id"]: place
        for place, each in enumerate(features)
        if each["properties"].get("feature") == "zone"
    }
    lines: list[Line] = []
    for item in reply.zones:
        place = index.get(names.get(item["zone_id"], ""))
        if place is None:
            warnings.append(_gone(item, features))
            continue
        try:
            features[place], told = _of_zone(features[place], item, take, warnings)
        except InputRefused as error:
            raise error.within(place=f"zone {item['zone_id']}") from None
        lines += told
    return lines


def _gone(item: Mapping[str, Any], features: Iterable[Mapping[str, Any]]) -> str:
    zone_id = item["zone_id"]
    heirs = [
        str(each["properties"]["zone_id"])
        for each in features
        if zone_id in str(each["properties"].get("came_from") or "").replace(",", " ").split()
    ]
    now = f" (now: {', '.join(heirs)})" if heirs else ""
    said = ", ".join(f"{name} {value}" for name, value in item["now"].items())
    return f"There is no zone {zone_id} any longer{now}; the reply says of it: {said or 'nothing'}."


def _of_zone(
    mine: dict[str, Any], item: Mapping[str, Any], take: str | None, warnings: list[str]
) -> tuple[dict[str, Any], list[Line]]:
    """Return one zone with a reply's facts, and what became of each."""
    now, strange = facts_of(item["now"], "zone")
    base, _ = facts_of(item["base"], "zone")
    if strange:
        warnings.append(
            f"Not taken, as it is no fact of a reply: {item['zone_id']}: {', '.join(strange)}."
        )
    names = [name for name in item["now"] if name not in strange]
    has = mine["properties"]
    before, theirs = dict(has), dict(has)
    for name in names:
        _set(before, name, base.get(name))
        _set(theirs, name, now.get(name))
    key = item["zone_id"]
    sides = [{key: {**mine, "properties": side}} for side in (before, has, theirs)]
    merged = threeway.merge(*sides)
    clashes = {each.name for each in merged.conflicts}
    result = dict(merged.features[key]["properties"])
    for name in clashes:  # a fact that the site took away stays away, too
        _set(result, name, now.get(name) if take == THEIRS else has.get(name))
    lines = [
        Line(_what(name, clashes, take), key, name, has.get(name), now.get(name))
        for name in names
        if (name in clashes and take is None) or result.get(name) != has.get(name)
    ]
    return {**mine, "properties": result}, lines


def _set(properties: dict[str, Any], name: str, value: Any) -> None:
    """Set a fact, or take it away for None; one that says the same already stays as it is."""
    if _same(properties.get(name), value):
        return
    if value is None:
        properties.pop(name)
    else:
        properties[name] = value


def _same(one: Any, other: Any) -> bool:
    empty = (None, "")
    if one in empty or other in empty:
        return one in empty and other in empty
    return bool(one == other or str(one).strip() == str(other).strip())


def _what(name: str, clashes: set[str], take: str | None) -> str:
    return CONFLICT if name in clashes and take is None else CHANGED
