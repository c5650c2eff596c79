"""The server is killed in the middle of saves: the site is whole, at most one stroke is lost."""

import contextlib
import http.client
import os
import random
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path
from types import SimpleNamespace

import pytest
import shapely

from lawnmap.jobs.mark import Marking
from lawnmap.store import document, journal
from lawnmap.store import site as site_store
from lawnmap.store.draft import held
from tests.web.desks import Page, made, point, zone

HOUSE = Path(__file__).parents[2]
LONG = os.environ.get("LAWNMAP_LONG") == "1"
SAVES = 100 if LONG else 6
SLOWEST_S = 0.12  # after the first stroke of a round; a save takes some 30 ms


@contextlib.contextmanager
def served(folder):
    """Serve a site in a process of its own; give the process and a page."""
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.web.killed", str(folder.path)],
        cwd=HOUSE,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        port, token = process.stdout.readline().split()
        door = SimpleNamespace(port=int(port), token=token)
        yield process, Page(SimpleNamespace(door=door))
    finally:
        process.kill()
        process.communicate()


def strokes(page, told):
    """Draw and save until nobody answers any more, noting what was acknowledged."""
    with contextlib.suppress(OSError, ValueError, http.client.HTTPException):
        features = dict(page.get("/api/site")["features"])
        while True:
            count = told["sent"] + 1
            front = features["front"]
            facts = {**front["properties"], "public_note": str(count) + " moss" * (count % 500)}
            changes = {"front": {**front, "properties": facts}}
            told["sent"] = count
            page.get("/api/draft", {"revision": told["revision"], "changes": changes})
            told["kept"] = count
            told["begun"].set()
            if count % 2 == 0:  # every other stroke is saved, so that each kind is met
                body = {"revision": told["revision"], "changes": changes, "choices": {}}
                answer = page.get("/api/save", body)
                told["revision"], features = answer["revision"], dict(answer["features"])


def count_of(feature):
    return int(feature["properties"].get("public_note", "0").split()[0])


def test_kills_during_saves(tmp_path):
    folder = made(tmp_path / "garden", zone("front"), zone("back", 10), point("tree", 3, 3))
    told = {"sent": 0, "kept": 0, "revision": 1}
    random_ = random.Random(4)
    met = {"drafts": 0, "saved": 0}
    for _ in range(SAVES):
        told["begun"] = threading.Event()
        with served(folder) as (process, page):
            told["revision"] = page.get("/api/site")["revision"]
            drawing = threading.Thread(target=strokes, args=(page, told))
            drawing.start()
            assert told["begun"].wait(30)
            time.sleep(random_.uniform(0, SLOWEST_S))
            process.kill()
            drawing.join(timeout=30)
            assert not drawing.is_alive()
        if not journal.pending(folder):
            document.decode(folder.site.read_bytes(), name="site.geojson")  # whole as it lies
        site = site_store.load(folder)
        first = site.document["features"][0]
        assert shapely.is_valid(shapely.geometry.shape(first["geometry"]))
        with held(folder) as draft:
            shown = Marking(folder, draft).show()
        found = shown.draft.changes["front"] if shown.draft else first
        assert count_of(found) >= told["kept"]  # what was acknowledged is there
        assert told["sent"] - count_of(found) <= 1
        met["drafts" if shown.draft else "saved"] += 1
        told["sent"] = count_of(found)
    assert sum(met.values()) == SAVES
    assert not LONG or min(met.values()) > 0  # killed with a draft, and right after a save


def test_a_save_by_another_process_meets_a_page(tmp_path):
    """Two browsers, two servers, one site."""
    folder = made(tmp_path / "garden", zone("front", moss_rating=3), zone("back", 10))
    with served(folder) as (_, one), served(folder) as (_, other):
        front = dict(one.get("/api/site")["features"])["front"]
        assert other.get("/api/site")["revision"] == 1

        def save(page, choices=None, **facts):
            changed = {**front, "properties": {**front["properties"], **facts}}
            body = {"revision": 1, "changes": {"front": changed}, "choices": choices or {}}
            return page.ask("/api/save", body)

        assert save(one, thatch_mm=12, moss_rating=1)[0] == 200
        status, told = save(other, wear="heavy")  # another field: nothing to ask
        assert (status, told["result"]["revision"]) == (200, 3)
        status, told = save(other, moss_rating=5)
        assert status == 409
        assert [(each["field"], each["theirs"]) for each in told["conflicts"]] == [
            ("moss_rating", 1)
        ]
        assert dict(told["features"])["front"]["properties"]["wear"] == "heavy"
        assert told["error"]["remedy"]
        choice = {"front": {"moss_rating": "theirs"}}
        assert save(other, choice, moss_rating=5)[0] == 200
    facts = site_store.load(folder).document["features"][0]["properties"]
    assert (facts["moss_rating"], facts["thatch_mm"], facts["wear"]) == (1, 12, "heavy")


def test_the_command_tells_the_token_once_and_leaves_nothing(tmp_path):
    folder = made(tmp_path / "garden", zone("front"))
    home = {"HOME": str(tmp_path), "XDG_CONFIG_HOME": str(tmp_path / "config")}
    process = subprocess.Popen(
        [sys.executable, "-m", "lawnmap", "mark", str(folder.path), "--no-browser"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, **home},
        # A shell that starts the tests in the background has Ctrl-C ignored by all it starts.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509 - no threads
    )
    try:
        address = process.stderr.readline().strip()
        head, _, token = address.partition("#t=")
        port = int(head.rstrip("/").rpartition(":")[2])
        page = Page(SimpleNamespace(door=SimpleNamespace(port=port, token=token)))
        front = dict(page.get("/api/site")["features"])["front"]
        facts = {**front["properties"], "moss_rating": 2}
        changes = {"front": {**front, "properties": facts}}
        page.get("/api/save", {"revision": 1, "changes": changes})
        page.ask("/api/cut", {})
        page.server.door.token = "a" * 43
        with contextlib.suppress(ValueError):
            page.ask("/api/site")
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=20)
    finally:
        process.kill()
    assert process.returncode == 0
    assert "revision 2" in out
    assert token not in out + err
    kept = [each for each in tmp_path.rglob("*") if each.is_file()]
    assert not [each for each in kept if token.encode() in each.read_bytes()]
    with pytest.raises(OSError):
        page.ask("/api/site")  # the port is free
