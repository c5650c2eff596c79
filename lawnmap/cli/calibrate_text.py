"""What ``lawnmap calibrate`` prints for a person, and as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from lawnmap.cli import told

if TYPE_CHECKING:
    from lawnmap.jobs.calibrate import CalibrateReply

NUMBERS = ("water_l_m2", "rate_g_m2", "wanted", "width_m", "speed_km_h", "flow_l_min")


def text(reply: CalibrateReply) -> str:
    """Return what was found, what to set, and where that was kept."""
    kept = "Nothing was kept." if reply.saved is None else f"Kept in {reply.saved}."
    return "\n".join((*reply.found.said, kept))


def data(reply: CalibrateReply) -> dict[str, Any]:
    """Return the same for JSON: numbers, sentences, and the row that was added."""
    found = reply.found
    return {
        "kind": found.kind,
        **{name: told.plain(getattr(found, name)) for name in NUMBERS},
        "near_enough": found.good,
        "said": list(found.said),
        "row": dict(reply.row),
        "saved": None if reply.saved is None else str(reply.saved),
    }
