"""A desk with a site on it, served as the command serves it, and a page's way to ask it."""

import contextlib
import datetime as dt
import http.client
import json
import threading
from unittest import mock

from lawnmap.jobs.mark import Marking
from lawnmap.jobs.outlook import Depot
from lawnmap.model import FORMAT, Site
from lawnmap.store.draft import held
from lawnmap.store.folder import Folder
from lawnmap.store.site import create
from lawnmap.store.specification import default_text
from lawnmap.web.desk import Desk, assets
from lawnmap.web.server import Server

TODAY = dt.date(2027, 4, 12)
WEST, SOUTH = -1.5, 53.8  # an invented lawn in a real latitude
DEGREE_EAST_M, DEGREE_NORTH_M = 65_871.0, 111_310.0  # here, to a metre or so


def place(east_m, north_m):
    """Return longitude and latitude of metres about the corner of the site."""
    return [WEST + east_m / DEGREE_EAST_M, SOUTH + north_m / DEGREE_NORTH_M]


def square(east_m, north_m, side_m=10.0, height_m=None):
    """Return a closed ring, counter-clockwise."""
    up = side_m if height_m is None else height_m
    steps = ((0, 0), (side_m, 0), (side_m, up), (0, up), (0, 0))
    return [place(east_m + e, north_m + n) for e, n in steps]


def feature(kind, ring, **properties):
    """Return a feature with one outer ring."""
    return {
        "type": "Feature",
        "properties": {"feature": kind, **properties},
        "geometry": {"type": "Polygon", "coordinates": [ring]},
    }


def zone(zone_id, east_m=0.0, north_m=0.0, side_m=10.0, **properties):
    """Return a square zone."""
    ring = square(east_m, north_m, side_m)
    return feature("zone", ring, zone_id=zone_id, name=zone_id.title(), **properties)


def point(kind, east_m, north_m, **properties):
    """Return a thing that is a point."""
    return {
        "type": "Feature",
        "properties": {"feature": kind, **properties},
        "geometry": {"type": "Point", "coordinates": place(east_m, north_m)},
    }


def made(path, *features, **header):
    """Make a site folder."""
    folder = Folder(path)
    document = {
        "type": "FeatureCollection",
        "lawnmap": {"format": FORMAT, "title": "Invented garden", "revision": 0, **header},
        "features": list(features),
    }
    create(folder, Site(document), {"specification.toml": default_text().encode()})
    return folder


class Page:
    """What a page knows: where the server is, and the token."""

    def __init__(self, server):
        self.server = server

    def ask(self, path, body=None):
        """Return status and answer of one request on a connection of its own."""
        host = f"127.0.0.1:{self.server.door.port}"
        headers = {"Host": host, "X-Lawnmap-Token": self.server.door.token}
        line = http.client.HTTPConnection(host, timeout=60)
        try:
            if body is None:
                line.request("GET", path, headers=headers)
            else:
                headers |= {"Origin": f"http://{host}", "Content-Type": "application/json"}
                line.request("POST", path, json.dumps(body), headers)
            answer = line.getresponse()
            return answer.status, json.loads(answer.read() or b"null")
        finally:
            line.close()

    def get(self, path, body=None):
        """Return the result of a request that is answered."""
        status, answer = self.ask(path, body)
        assert status == 200, answer
        return answer["result"]

    def refused(self, path, body):
        """Return status and error of a request that is refused in words."""
        status, answer = self.ask(path, body)
        assert status in {409, 422}, answer
        return answer["error"]


@contextlib.contextmanager
def open_page(folder):
    """Serve a site and give a page on it."""
    with held(folder) as draft:
        desk = Desk(Marking(folder, draft), Depot(None, folder.path, TODAY))
        server = Server(assets(), desk.looks(), desk.writes())
        with mock.patch("lawnmap.web.server.LOOK_S", 0.01):  # so that it stops at once
            thread = threading.Thread(target=server.serve)
            thread.start()
            try:
                yield Page(server)
            finally:
                server.shutdown()
                thread.join(timeout=10)
