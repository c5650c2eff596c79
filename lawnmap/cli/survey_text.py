"""What ``lawnmap survey`` prints for a person, and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lawnmap.jobs.survey import SurveyReply
    from lawnmap.model import Site


def listed(names: Sequence[str]) -> str:
    """Return the closed surveys, one a line."""
    return "\n".join(names) or "No survey has been closed yet."


def text(reply: SurveyReply | None, begun: Site | None) -> str:
    """Return what was closed, and what was taken off."""
    lines = []
    if reply:
        lines.append(
            f"Closed the survey {reply.survey.name}. Of {_many(reply.zones, 'zone')}: moss counted "
            f"on points in {reply.counted}, cores in {reply.cored}."
        )
    if begun:
        lines.append(
            "Cores and what was seen of moss, thatch and sward are off the site, which is saved as "
            f"revision {begun.revision}: count and core afresh."
        )
    return "\n".join(lines)


def data(reply: SurveyReply | None, begun: Site | None) -> dict[str, Any]:
    """Return the same for JSON; ``survey`` is null when it was closed before."""
    return {
        "survey": reply.survey.name if reply else None,
        "zones": reply.zones if reply else None,
        "counted": reply.counted if reply else None,
        "cored": reply.cored if reply else None,
        "begun_again": begun is not None,
        "revision": begun.revision if begun else None,
    }


def _many(count: int, of: str) -> str:
    return f"{count} {of}{'' if count == 1 else 's'}"
