"""What people said of a site, and which plans they agreed to, in the replies that were read."""

from __future__ import annotations

from collections.abc import Sequence

from lawnmap.errors import InputRefused
from lawnmap.jobs.check import Finding
from lawnmap.jobs.reply import accepted
from lawnmap.processing.replying.reply_content import Reply
from lawnmap.store import issued as issued_store
from lawnmap.store.folder import Folder
from lawnmap.store.issued import Issued

# What a plan was worked out from, in the words of a person.
INPUTS = {
    "features": "the site",
    "choices": "the choices",
    "zones": "the choices of single zones",
    "products": "label cards",
    "machines": "machines",
    "record": "work done",
    "closed": "closed days",
    "reference": "published values",
    "today": "the day",
    "weather": "the weather",
    "sun": "hours of sun",
    "before": "the earlier survey",
    "title": "the title",
    "surveyed": "the day of the survey",
    "lawnmap": "the version of lawnmap",
    "options": "whom it is for, or its units",
}


def said(folder: Folder | None) -> tuple[list[Finding], list[str]]:
    """Return comments and agreements, the oldest first, and warnings.

    A comment or an agreement that stands in several replies of one person is told once, as it was
    said last.
    """
    if folder is None:
        return [], []
    replies, warnings = accepted(folder)
    plans = issued_store.listed(folder) if replies else []
    found: dict[tuple[str, ...], Finding] = {}
    for _, reply in replies:
        for key, finding in (*_comments(reply), *_agreements(reply, plans)):
            found.pop(key, None)
            found[key] = finding
    return list(found.values()), warnings


def _comments(reply: Reply) -> list[tuple[tuple[str, ...], Finding]]:
    who = _who(reply.by, reply.at)
    return [
        (("comment", each["id"]), Finding(each["zone_id"], f"{who}: {_line(each['text'])}", ""))
        for each in reply.comments
        if each["text"]
    ]


def _agreements(reply: Reply, plans: Sequence[Issued]) -> list[tuple[tuple[str, ...], Finding]]:
    found: list[tuple[tuple[str, ...], Finding]] = []
    for each in reply.agreements:
        plan_id = each["issued"] or reply.issued
        what = f"agreed by {_who(each['name'], reply.at)}"
        what += f", plan {plan_id}" if plan_id else ", on a trial copy"
        if each["conditions"]:
            what += f"; on condition: {_line(each['conditions'])}"
        key = ("agreement", plan_id, each["zone_id"], each["name"])
        found.append((key, Finding(each["zone_id"], what + _since(plan_id, plans), "")))
    return found


def _since(plan_id: str, plans: Sequence[Issued]) -> str:
    """Return what of the plan that was agreed to is no longer so in the last one issued."""
    if not plan_id or (plans and plans[0].id == plan_id):
        return ""
    agreed = next((each for each in plans if each.id == plan_id), None)
    if agreed is None:
        return "; this site has not issued that plan"
    try:
        changed = _changed(agreed, plans[0])
    except InputRefused:
        changed = "what it rests on cannot be read"
    return f"; plan {plans[0].id} was issued since: {changed}"


def _changed(agreed: Issued, last: Issued) -> str:
    one, other = (each.read(issued_store.INPUTS) for each in (agreed, last))
    if not (agreed.intact() and last.intact()):
        return "what it rests on is not as it was handed over"
    names = [words for name, words in INPUTS.items() if one.get(name) != other.get(name)]
    return f"changed: {', '.join(names)}" if names else "nothing of the work has changed"


def _who(name: str, at: str) -> str:
    return f"{name or 'somebody'} on {at[:10]}"


def _line(words: str) -> str:
    return " / ".join(line.strip() for line in words.splitlines() if line.strip())
