"""Site folders and replies of strangers: damaged, hostile, or from a newer lawnmap."""

import base64
import json
import os
import shutil

from tests.hostile.case import DAMAGED, Case, accepted
from tests.hostile.texts import LAWN_M
from tests.readers.good_files import SAMPLE
from tests.replies import content, mailed, reply, sealed

SITE = (SAMPLE / "site" / "site.geojson").read_bytes()
TODAY = ("--today", "2027-03-01")


def put(name, data):
    """Return what puts a file into the site, in a folder of it if need be."""

    def made(folder):
        path = folder / "site" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)

    return made


def changed(**members):
    """Return the site file with other members in its header."""
    document = json.loads(SITE)
    document["lawnmap"] |= members
    return json.dumps(document).encode()


def zone(**properties):
    """Return the site file with other facts on its first zone."""
    document = json.loads(SITE)
    first = next(f for f in document["features"] if f["properties"]["feature"] == "zone")
    first["properties"] |= properties
    return json.dumps(document).encode()


def outline(ring):
    document = json.loads(SITE)
    first = next(f for f in document["features"] if f["properties"]["feature"] == "zone")
    first["geometry"] = {"type": "Polygon", "coordinates": [ring]}
    return json.dumps(document).encode()


SITES = {
    "empty site": b"",
    "nuls in a site": bytes(4_000),
    "cut site": SITE[: len(SITE) // 2],
    "doubled site": SITE + SITE,
    "newer site": changed(format=99),
    "site of nan": outline([[float("nan"), 53], *LAWN_M]),
    "site of a list": b"[]",
    "deep site": b'{"a":' * 100_000,
    "true revision": changed(revision=True),
    "minus revision": changed(revision=-1),
    "rating of a site": zone(moss_rating=99),
    "surrogate in a site": zone(name="x").replace(b'"x"', b'"\\ud800"', 1),
    "slip of an id": zone(zone_id="../../etc"),
    "twice a key in a site": SITE.replace(b"{", b'{"type": 1, ', 1),
}
CHOICES = {
    "choices of no table": ("specification.toml", b"iron = \n"),
    "choices of nan": ("specification.toml", b"[crew]\npeople = nan\nhours_a_day = 7.0\n"),
    "choices of a program": ("specification.toml", b'command = "mkdir @TRAP@"\n'),
    "choices deep": ("specification.toml", b"a = " + b"[" * 5_000),
    "choices of bytes": ("specification.toml", b"iron = \xff"),
    "choices of an address": ("specification.toml", b'[products]\niron = "@URL@"\n'),
    "cards of nothing": ("products.toml", b"[[product]]\n"),
    "cards of infinity": (
        "products.toml",
        b'[[product]]\nname = "a"\nform = "soluble"\nanalysis_pct = inf\n',
    ),
    "machines of nan": ("machines.toml", b'[[machine]]\nname = "a"\nwidth_m = nan\n'),
    "closed days": ("closed.csv", b"from,to,what\n2027-13-45,2027-01-01,term\n"),
    "weather": ("weather.csv", b"day,rain_mm\n2027-01-01,NaN\n"),
    "weather of a picture": ("weather.csv", b"\x89PNG\r\n\x1a\n\0\0"),
}
RECORDS = {
    "record of nothing": b"a,b\n1,2\n",
    "record of nuls": b"\0" * 400,
    "record of an open quote": b'record_id,note\na,"b\n' + b"c,d\n" * 900,
}


def linked_site(folder):
    """Make the site file a link to the secret."""
    (folder / "site" / "site.geojson").unlink()
    (folder / "site" / "site.geojson").symlink_to(folder.parent / "bait" / "secret.csv")


def pipe_site(folder):
    (folder / "site" / "site.geojson").unlink()
    os.mkfifo(folder / "site" / "site.geojson")


def journal(**files):
    """Return a change that was cut off, as an early lawnmap wrote it, without a seal."""
    packed = {name: base64.b64encode(data).decode() for name, data in files.items()}
    return json.dumps({"journal": 1, "revision": 2, "files": packed}).encode()


def no_site(folder):
    shutil.rmtree(folder / "site")
    (folder / "site").mkdir()


def filled_reply(**changes):
    """Return what makes a reply for the very site it is read into."""

    def made(folder):
        header = json.loads((folder / "site" / "site.geojson").read_bytes())["lawnmap"]
        about = {"id": header.get("site_id", ""), "title": header["title"], "revision": 1}
        (folder / "in" / "reply.json").write_bytes(reply(**{"site": about, **changes}))

    return made


GOOD = reply()
OWN = ("read", "in/reply.json", "--into", "site")
RATED = [{"zone_id": "main", "base": {"moss_rating": 0}, "now": {"moss_rating": 99}}]
CROSSED = outline([LAWN_M[n] for n in (0, 2, 1, 3, 0)])
JOURNALS = {
    "journal out of the folder": journal(**{"../in/out.csv": b"x", "site.geojson": SITE}),
    "journal of a program": journal(**{".lawnmap/run.py": b"x", "site.geojson": SITE}),
    "journal of nuls": bytes(900),
}
REPLIES = {
    "seal.json": GOOD.replace(b'"digest": "', b'"digest": "0'),
    "newer reply.json": GOOD.replace(b'"lawnmap_reply": 1', b'"lawnmap_reply": 99'),
    "true reply.json": GOOD.replace(b'"lawnmap_reply": 1', b'"lawnmap_reply": true'),
    "cut reply.json": GOOD[:-40],
    "deep reply.json": sealed("[" * 50_000),
    "nan reply.json": sealed(json.dumps(content(zones=[{"a": float("nan")}]))),
    "list reply.json": sealed("[]"),
    "kind reply.json": reply(kind="program"),
    "other site.json": reply(site={"id": "0123456789abcdef", "title": "x", "revision": 1}),
    "surrogate reply.json": sealed(json.dumps(content(by="\ud800"))),
    "cut mail.txt": mailed(GOOD)[:-60],
    "two in a mail.txt": mailed(GOOD) + b"\n" + mailed(reply(by="Ben Example")),
    "damaged mail.txt": mailed(GOOD).replace(b"eyJ", b"e?=", 1),
    "marks alone.txt": b"-----BEGIN LAWNMAP REPLY-----\n" * 9_000,
}


def cases():
    """Return the runs of this kind: refused and accepted."""
    return [
        *(
            Case(
                name,
                made=put("site.geojson", data),
                words=("measure", "site"),
                code=DAMAGED,
                site="zones",
                file="site.geojson",
            )
            for name, data in SITES.items()
        ),
        *(
            Case(
                name, made=put(*given), words=("plan", "site", *TODAY), site="zones", file=given[0]
            )
            for name, given in CHOICES.items()
        ),
        *(
            Case(
                name,
                made=put("record.csv", data),
                words=("record", "site", "--list"),
                code=DAMAGED,
                site="zones",
                file="record.csv",
            )
            for name, data in RECORDS.items()
        ),
        *(
            Case(
                name,
                made=put(".lawnmap/journal", data),
                words=("measure", "site"),
                code=DAMAGED,
                site="zones",
                file=".lawnmap/journal",
            )
            for name, data in JOURNALS.items()
        ),
        Case(
            "bow-tie in a site",
            made=put("site.geojson", CROSSED),
            words=("measure", "site"),
            site="zones",
            file="site.geojson",
        ),
        Case(
            "linked site",
            made=linked_site,
            words=("measure", "site"),
            code=DAMAGED,
            site="zones",
            file="site.geojson",
        ),
        Case(
            "site of a pipe",
            made=pipe_site,
            words=("measure", "site"),
            code=DAMAGED,
            site="zones",
            file="site.geojson",
        ),
        Case("folder without a site", made=no_site, words=("measure", "site"), file="site"),
        *(
            Case(name, {name: data}, words=("read", f"in/{name}", "--into", "site"), site="zones")
            for name, data in REPLIES.items()
        ),
        Case(
            "reply of 99",
            made=filled_reply(zones=RATED),
            words=OWN,
            site="zones",
            file="reply.json",
        ),
        Case(
            "reply slip",
            made=filled_reply(work=[{"id": "../../x", "zone_id": "main"}]),
            words=OWN,
            site="zones",
            file="reply.json",
        ),
        accepted(
            "good reply",
            {},
            *OWN,
            made=filled_reply(answers={"Dog? <b>{{7*7}}": "=1+1"}),
            site="zones",
        ),
        accepted("reply into nothing", {"reply.json": GOOD}, "read", "in/reply.json"),
        accepted(
            "time zone slip",
            {},
            "measure",
            "site",
            site="zones",
            made=put("site.geojson", changed(timezone="../../../etc/passwd")),
        ),
        accepted("sample site", {}, "measure", "site", site="zones", told="m²"),
    ]
