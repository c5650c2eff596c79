"""The answers behind the page of ``lawnmap mark``: each takes JSON and gives JSON.

Nothing is worked out here: outlines are changed by ``processing``, the site by ``jobs``.
"""

from __future__ import annotations

import base64
import math
from dataclasses import asdict
from importlib.resources import files
from typing import Any

import numpy as np

from lawnmap import schema
from lawnmap.files.limits import SITE
from lawnmap.found import Heights
from lawnmap.geometry.frame import Frame
from lawnmap.jobs.mark import Marking
from lawnmap.jobs.measure import outline_sigmas
from lawnmap.jobs.outlook import Depot, outlook
from lawnmap.pages import leaflet
from lawnmap.pages.page import asset
from lawnmap.processing.editing import marking
from lawnmap.processing.editing.judging import Sizes, problems, sizes
from lawnmap.processing.editing.keyed import Feature, applied, new_key
from lawnmap.processing.editing.marking import MOST_CORNERS
from lawnmap.reference import tables
from lawnmap.store import photos
from lawnmap.store.backdrop import stored
from lawnmap.web.body import LONGEST_M, Body
from lawnmap.web.guards import MOST_BODY
from lawnmap.web.server import Answer, Asset

FURTHEST_SHARE_M = 5.0
WEBP = "data:image/webp;base64,"
KINDS = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
}
# Room in a request for the rest of it, and for base64, which makes four bytes of three.
MOST_PHOTO = (MOST_BODY - 10_000) // 4 * 3


class Desk:
    """A site on a page.

    Parameters
    ----------
    hold : Marking
        The site.
    depot : Depot
        For what the plan would say.
    """

    def __init__(self, hold: Marking, depot: Depot) -> None:
        self.hold = hold
        self.depot = depot

    def looks(self) -> dict[str, Answer]:
        """Return what answers a GET, by path."""
        return {"/api/site": self._site, "/api/pictures": self._pictures}

    def writes(self) -> dict[str, Answer]:
        """Return what answers a POST, by path."""
        table = {
            "measure": self._measure,
            "judge": self._judge,
            "cut": self._cut,
            "merge": self._merge,
            "cut_out": self._cut_out,
            "share": self._share,
            "point": _point,
            "rectangle": _rectangle,
            "side": _side,
            "plan": self._plan,
            "draft": self._draft,
            "forget": self._forget,
            "save": self._save,
            "photo": self._photo,
            "picture": self._picture,
        }
        return {f"/api/{name}": _taking(answer) for name, answer in table.items()}

    def _site(self, _: None) -> dict[str, Any]:
        shown = self.hold.show()
        return {
            "title": shown.site.title,
            "revision": shown.site.revision,
            "placed": shown.site.placed,
            "features": list(shown.features.items()),
            "draft": asdict(shown.draft) if shown.draft else None,
            "kinds": schema.FEATURES,
            "columns": {table: _columns(table) for table in ("zones", "features")},
            "scales": {f"{name}_rating": _scale(name) for name in ("moss", "thatch")},
            "limits": {
                "body_bytes": MOST_BODY,
                "photo_bytes": MOST_PHOTO,
                "zones": SITE.zones,
                "corners": MOST_CORNERS,
                "name_length": SITE.name_length,
            },
        }

    def _pictures(self, _: None) -> list[dict[str, Any]]:
        return [
            {"name": each.name, "src": _webp(each.data), "bounds": list(each.bounds)}
            for each in stored(self.hold.folder).backdrops.values()
        ]

    def _measure(self, body: Body) -> dict[str, Any]:
        found = self._sizes(body.feature(), None)
        if self.hold.site.heights is not None:  # too slow while a corner moves; judge tells it
            found = found._replace(ground_m2=None)
        return found._asdict()

    def _sizes(self, feature: Feature, heights: Heights | None) -> Sizes:
        return sizes(feature, self.hold.obstacles(), outline_sigmas(), heights)

    def _judge(self, body: Body) -> dict[str, Any]:
        feature, key = body.feature(), body.text("key")
        found = problems(feature, key, body.features("neighbours"))
        return {
            **self._sizes(feature, self.hold.site.heights)._asdict(),
            "problems": [each._asdict() for each in found],
        }

    def _cut(self, body: Body) -> dict[str, Any]:
        feature = body.feature()
        key = body.text("key", str(feature["properties"].get("zone_id") or ""))
        made = marking.cut(feature, key, body.line("line"), self._taken(body))
        return {"gone": [key] if key else [], "features": made}

    def _merge(self, body: Body) -> dict[str, Any]:
        features = body.features("features")
        made, asks = marking.merge(features, self._taken(body))
        return {"gone": list(features), "features": made, "asks": [each._asdict() for each in asks]}

    def _cut_out(self, body: Body) -> dict[str, Any]:
        feature, ring = body.feature(), body.ring("ring")
        key = body.text("key", str(feature["properties"].get("zone_id") or ""))
        made = {key: marking.cut_out(feature, key, ring)}
        if body.given.get("bed") is True:
            bed = {"type": "Feature", "properties": {"feature": "bed"}}
            made[new_key(self._taken(body) | {key})] = marking.with_shape(bed, ring)
        return {"features": made}

    def _share(self, body: Body) -> dict[str, Any]:
        within_m = body.number("within_m", FURTHEST_SHARE_M, least=0.0)
        feature, key = body.feature(), body.text("key")
        return {"features": marking.share(feature, key, body.features("neighbours"), within_m)}

    def _plan(self, body: Body) -> dict[str, Any]:
        features = applied(self.hold.features, body.changes())
        zone_id = body.text("zone_id")
        return asdict(outlook(self.hold.folder, self.hold.site, features, zone_id, self.depot))

    def _draft(self, body: Body) -> dict[str, Any]:
        self.hold.keep(body.whole("revision"), body.changes())
        return {"kept": True}

    def _forget(self, _: Body) -> dict[str, Any]:
        self.hold.forget()
        return {"kept": False}

    def _save(self, body: Body) -> dict[str, Any]:
        reply = self.hold.save(body.whole("revision"), body.changes(), body.choices())
        return {
            "revision": reply.site.revision,
            "features": list(reply.features.items()),
            "names": dict(reply.names),
            "warnings": list(reply.warnings),
        }

    def _photo(self, body: Body) -> dict[str, Any]:
        return {"name": self.hold.photo(body.data())}

    def _picture(self, body: Body) -> dict[str, Any]:
        return {"src": _webp(photos.read(self.hold.folder, body.text("name")))}

    def _taken(self, body: Body) -> set[str]:
        """Return the keys that are not free: the page's, and those the site knows."""
        return body.taken() | self.hold.keys()


def assets() -> dict[str, Asset]:
    """Return the page's own files by exact path, as they are now."""
    found = {
        "/leaflet.js": Asset(KINDS[".js"], leaflet.script().encode("utf-8")),
        "/leaflet.css": Asset(KINDS[".css"], leaflet.style().encode("utf-8")),
        "/base.css": Asset(KINDS[".css"], asset("base.css").encode("utf-8")),
    }
    for each in files("lawnmap.pages").joinpath("mark").iterdir():
        suffix = f".{each.name.rpartition('.')[2]}"
        if each.is_file() and suffix in KINDS:
            path = "/" if each.name == "index.html" else f"/mark/{each.name}"
            found[path] = Asset(KINDS[suffix], each.read_bytes())
    return found


def _taking(answer: Answer) -> Answer:
    return lambda given: answer(Body(given))


def _webp(data: bytes) -> str:
    return WEBP + base64.b64encode(data).decode("ascii")


def _columns(table: str) -> list[dict[str, Any]]:
    names = ("name", "unit", "low", "high", "words", "meaning")
    return [{name: getattr(each, name) for name in names} for each in schema.facts(table)]


def _scale(name: str) -> list[dict[str, Any]]:
    """Return the classes of a scale: number, word, what it says in figures, and where it begins.

    What was measured is of the last class that it has reached; one that begins `above` has not
    the edge itself, since a class of no width ("none") has.
    """
    told = []
    edges = tables.bands(name)
    for place, each in enumerate(tables.scale(name)):
        word, _, says = each.word.partition(" (")
        below, above = edges[max(place - 1, 0)]
        told.append(
            {
                "value": each.rating,
                "word": word,
                "says": says.rstrip(")"),
                "from": edges[place][0],
                "above": place > 0 and below == above,
            }
        )
    return told


def _ahead(body: Body) -> tuple[Frame, Any]:
    """Return a flat frame at a place, and the metres east and north of going straight on."""
    frame = Frame(*body.position("from"))
    bearing = math.radians(body.number("bearing_deg", 3600.0))
    length = body.number("length_m", LONGEST_M, least=0.0)
    return frame, np.array([math.sin(bearing), math.cos(bearing)]) * length


def _point(body: Body) -> list[float]:
    frame, ahead = _ahead(body)
    return [float(each) for each in frame.to_lonlat(ahead[None])[0]]


def _rectangle(body: Body) -> list[list[float]]:
    frame, ahead = _ahead(body)
    width = body.number("width_m", LONGEST_M)
    bearing = math.radians(body.number("bearing_deg", 3600.0))
    left = np.array([-math.cos(bearing), math.sin(bearing)]) * width
    corners = frame.to_lonlat(np.array([ahead, ahead + left, left]))
    first = list(body.position("from"))
    return [first, *corners.tolist(), first]


def _side(body: Body) -> dict[str, float]:
    frame = Frame(*body.position("from"))
    east, north = frame.to_metres(np.array([body.position("to")]))[0]
    bearing = math.degrees(math.atan2(east, north)) % 360.0
    return {"length_m": math.hypot(east, north), "bearing_deg": bearing}
