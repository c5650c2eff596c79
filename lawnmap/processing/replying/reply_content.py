"""What a reply says, checked: every text, number, date and id, before anything is made of it."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Mapping
from typing import Any

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.processing.replying import reply_fields as fields

Item = dict[str, Any]

ID = re.compile(r"[A-Za-z0-9_-]{1,64}")
SITE_ID = re.compile(r"(?:[0-9a-f]{16})?")
ISSUED = re.compile(r"(?:[0-9a-f]{12})?")
KINDS = ("visit", "comments")
HOW = ("sides and diagonal", "paces", "corners")
MOST = 5_000  # of one list; a long visit has some hundreds
PLACES = tuple(
    kind for kind, shapes in schema.FEATURES.items() if "Point" in shapes and kind != "core"
)


@dataclasses.dataclass(frozen=True)
class Reply:
    """A checked reply; lists hold dicts with every key of their kind.

    Attributes
    ----------
    kind : str
        ``visit`` or ``comments``.
    site_id, title : str
        The site it is for.
    revision : int
        The site's when the page was made.
    issued : str
        Id of the issued plan the page showed; empty for a trial copy.
    by, at : str
        Who, as typed, and the moment in UTC.
    ignored : tuple of str
        Fields that are not known and were left alone.
    """

    kind: str
    site_id: str
    title: str
    revision: int
    issued: str
    by: str
    at: str
    zones: list[Item] = dataclasses.field(default_factory=list)
    sketches: list[Item] = dataclasses.field(default_factory=list)
    places: list[Item] = dataclasses.field(default_factory=list)
    cores: list[Item] = dataclasses.field(default_factory=list)
    comments: list[Item] = dataclasses.field(default_factory=list)
    agreements: list[Item] = dataclasses.field(default_factory=list)
    work: list[Item] = dataclasses.field(default_factory=list)
    answers: dict[str, str] = dataclasses.field(default_factory=dict)
    ignored: tuple[str, ...] = ()


def checked(content: Mapping[str, Any]) -> Reply:
    """Return what a reply says.

    Control characters are taken out of text. Fields of a list's items that are not known are left
    alone and named in `ignored`; lists that are not known are refused, since leaving one out would
    lose what somebody did.

    Raises
    ------
    InputRefused
        With the place, for whatever is not as a reply has it.
    """
    strange = sorted(set(content) - {*HEAD, *LISTS, "answers"})
    if strange:
        raise _refused(f"holds {strange[0][:40]!r}, which no reply has", "", newer=True)
    ignored: dict[str, None] = {}
    head = _item(content, HEAD, "", ignored, known=set(content))
    site = _item(head.pop("site"), SITE_HEAD, "site", ignored)
    lists: dict[str, Any] = {name: _list(content.get(name, []), name, ignored) for name in LISTS}
    return Reply(
        **head,
        site_id=site["id"],
        title=site["title"],
        revision=site["revision"],
        **lists,
        answers=_answers(content.get("answers", {})),
        ignored=tuple(ignored),
    )


_id = fields.matching(ID, "an id")
_id_or_none = fields.matching(re.compile(r"[A-Za-z0-9_-]{0,64}"), "an id")
HEAD = {
    "kind": fields.one_of(KINDS),
    "site": fields.mapping,
    "issued": fields.matching(ISSUED, "the id of an issued plan"),
    "by": fields.line,
    "at": fields.moment,
}
SITE_HEAD = {
    "id": fields.matching(SITE_ID, "the id of a site"),
    "title": fields.text,
    "revision": fields.whole,
}
Checks = Mapping[str, Callable[[Any], Any]]
LISTS: dict[str, Checks] = {
    "zones": {"zone_id": _id, "base": fields.facts, "now": fields.facts},
    "sketches": {
        "id": _id,
        "name": fields.line,
        "ring": fields.ring,
        "at": fields.lonlat,
        "how": fields.one_of(HOW),
        "facts": fields.facts,
    },
    "places": {
        "id": _id_or_none,
        "feature": fields.one_of(PLACES),
        "lonlat": fields.lonlat,
        "zone_id": _id_or_none,
        "facts": fields.facts,
    },
    "cores": {
        "id": _id,
        "zone_id": _id_or_none,
        "lonlat": fields.lonlat,
        "thatch_mm": fields.amount,
        "moss_hits": fields.count,
        "moss_points": fields.count,
        "date": fields.day,
        "note": fields.text,
    },
    "comments": {"id": _id, "zone_id": _id_or_none, "text": fields.text},
    "agreements": {
        "zone_id": _id_or_none,
        "issued": fields.matching(ISSUED, "the id of an issued plan"),
        "name": fields.line,
        "conditions": fields.text,
    },
    "work": {
        "id": _id,
        "zone_id": _id_or_none,
        "operation": fields.line,
        "application": fields.line,
        "date": fields.day,
        "amount": fields.amount,
        "unit": fields.line,
        "area_m2": fields.amount,
        "product": fields.line,
        "note": fields.text,
    },
}
UNIQUE = {"zones": "zone_id", **dict.fromkeys(("sketches", "cores", "comments", "work"), "id")}


def _list(value: Any, name: str, ignored: dict[str, None]) -> list[Item]:
    if not isinstance(value, list) or len(value) > MOST:
        raise _refused(f"is not a list of at most {MOST:,}", name)
    found = [
        _item(each, LISTS[name], f"{name} {number}", ignored)
        for number, each in enumerate(value, start=1)
    ]
    key = UNIQUE.get(name)
    seen: set[str] = set()
    for number, each in enumerate(found, start=1):
        if key and each[key] in seen:
            raise _refused(f"{key} {each[key]!r} stands twice", f"{name} {number}")
        if key:
            seen.add(each[key])
    return found


def _item(
    value: Any, checks: Checks, place: str, ignored: dict[str, None], known: set[str] | None = None
) -> Item:
    """Return one object with every field checked; None where one is missing that may be."""
    if not isinstance(value, Mapping):
        raise _refused("is not an object", place)
    for strange in sorted(set(value) - set(checks) - (known or set())):
        ignored[f"{place.partition(' ')[0]}: {fields.text(strange[:40])}"] = None
    found: Item = {}
    for name, check in checks.items():
        try:
            found[name] = check(value.get(name))
        except ValueError as error:
            where = ", ".join(part for part in (place, name) if part)
            raise _refused(str(error), where) from None
    return found


def _answers(value: Any) -> dict[str, str]:
    if not isinstance(value, dict) or len(value) > MOST:
        raise _refused("is not an object", "answers")
    try:
        return {fields.line(question): fields.text(answer) for question, answer in value.items()}
    except ValueError as error:
        raise _refused(f"a question or an answer {error}", "answers") from None


def _refused(problem: str, place: str, *, newer: bool = False) -> InputRefused:
    remedy = "Make the reply again on the page it came from."
    if newer:
        remedy = "It was made by a newer lawnmap: read it with that one."
    return InputRefused(problem, place=place, remedy=remedy)
