"""Zip archives that mean harm: KMZ files and zipped shapefiles."""

import io
import lzma
import stat
import struct
import tarfile
import zipfile
import zlib

from tests.hostile.case import Case, accepted
from tests.hostile.texts import GOOD_KML, LAWN_M, kml, placemark
from tests.readers.good_files import SAMPLE, shapefile

CENTRAL, LOCAL, END = b"PK\1\2", b"PK\3\4", b"PK\5\6"


def zipped(flags=0, **entries):
    """Return an archive of files by name, with flags set in its list."""
    data = packed(*entries.items())
    central = data.index(CENTRAL)
    return data[: central + 8] + struct.pack("<H", flags) + data[central + 10 :]


def packed(*entries, method=zipfile.ZIP_DEFLATED):
    """Return an archive of entries, each a name or an info with its content."""
    memory = io.BytesIO()
    with zipfile.ZipFile(memory, "w", method) as archive:
        for entry, content in entries:
            archive.writestr(entry, content)
    return memory.getvalue()


def link(name, target):
    """Return an archive in which a file is a link to elsewhere."""
    info = zipfile.ZipInfo(name)
    info.create_system = 3
    info.external_attr = (stat.S_IFLNK | 0o777) << 16
    return packed((info, target), ("doc.kml", GOOD_KML))


def twice(name, other):
    """Return an archive with a name and another of the same length put in its place."""
    data = packed((name, GOOD_KML), (other, GOOD_KML))
    return data.replace(other.encode(), name.encode())


def overlapping(copies):
    """Return an archive whose entries all share the bytes of one file."""
    content = bytes(1_000_000)
    body = zlib.compress(content)[2:-4]
    crc = zlib.crc32(content)
    local = LOCAL + struct.pack("<5H3I2H", 20, 0, 8, 0, 0, crc, len(body), len(content), 7, 0)
    data = local + b"doc.kml" + body
    listed = b""
    for n in range(copies):
        name = b"%d.kml" % n
        head = (20, 20, 0, 8, 0, 0, crc, len(body), len(content), len(name), 0, 0, 0, 0, 0, 0)
        listed += CENTRAL + struct.pack("<6H3I5H2I", *head) + name
    end = struct.pack("<4H2IH", 0, 0, copies, copies, len(listed), len(data), 0)
    return data + listed + END + end


def claiming(size):
    """Return an archive that says that its file has another size unpacked."""
    data = zipped(**{"doc.kml": GOOD_KML})
    central = data.index(CENTRAL)
    told = struct.pack("<I", size)
    data = data[: central + 24] + told + data[central + 28 :]
    return data[:22] + told + data[26:]


def wrong_sum():
    data = bytearray(packed(("doc.kml", GOOD_KML), method=zipfile.ZIP_STORED))
    data[data.index(b"-1.999")] ^= 1
    return bytes(data)


def tarred():
    memory = io.BytesIO()
    with tarfile.open(fileobj=memory, mode="w") as archive:
        info = tarfile.TarInfo("../doc.kml")
        info.size = len(GOOD_KML)
        archive.addfile(info, io.BytesIO(GOOD_KML))
    return memory.getvalue()


def shapes(prefix="", **more):
    """Return a zipped shapefile with further entries."""
    return packed(*((prefix + name, data) for name, data in shapefile().items()), *more.items())


PLAIN = placemark(b" ".join(b"%.9f,%.9f" % tuple(place) for place in LAWN_M))
REFUSED = {
    "bomb.kmz": lambda: zipped(**{"doc.kml": bytes(50_000_000)}),
    "sum.kmz": lambda: packed(*((f"{n}.kml", bytes(990_000)) for n in range(110))),
    "entries.kmz": lambda: packed(*((f"{n}.kml", b"") for n in range(1_001))),
    "overlap.kmz": lambda: overlapping(90),
    "slip.kmz": zipped(**{"../doc.kml": GOOD_KML}),
    "back slip.kmz": zipped(**{"..\\doc.kml": GOOD_KML}),
    "absolute.kmz": zipped(**{"/etc/doc.kml": GOOD_KML}),
    "drive.kmz": zipped(**{"C:/doc.kml": GOOD_KML}),
    "link.kmz": lambda bait: link("other.kml", str(bait.secret)),
    "twice.kmz": twice("doc.kml", "dod.kml"),
    "case.kmz": packed(("doc.kml", GOOD_KML), ("DOC.KML", GOOD_KML)),
    "nul name.kmz": twice("doc.kml", "dod.kml").replace(b"doc.kml", b"do\0.kml"),
    "sum wrong.kmz": wrong_sum(),
    "secret.kmz": zipped(1, **{"doc.kml": GOOD_KML}),
    "strong secret.kmz": zipped(0x41, **{"doc.kml": GOOD_KML}),
    "nested.kmz": zipped(**{"doc.kml": GOOD_KML, "a.zip": zipped(**{"doc.kml": GOOD_KML})}),
    "disguised.kmz": packed(("doc.kml", zipped(**{"doc.kml": GOOD_KML}))),
    "many.kmz": lambda: zipped(**{f"{n}.kml": kml(b"<a/>" * 240_000) for n in range(8)}),
    "cut.kmz": zipped(**{"doc.kml": GOOD_KML})[:-20],
    "claims less.kmz": claiming(9),
    "claims more.kmz": claiming(9_000),
    "claims much.kmz": claiming(0x7FFFFFFF),
    "method.kmz": packed(("doc.kml", GOOD_KML), method=zipfile.ZIP_LZMA),
    "no plan.kmz": zipped(**{"notes.txt": b"a"}),
    "no list.kmz": zipped(**{"doc.kml": GOOD_KML}).replace(END, b"PK\5\7"),
    "tar.kmz": tarred(),
    "packed.kmz": lzma.compress(GOOD_KML),
    "link.zip": lambda bait: link("plan.shp", str(bait.secret)).replace(b"doc.kml", b"doc.shx"),
    "slip.zip": shapes("../"),
    "outside.kmz": lambda bait: packed(
        ("doc.kml", bait.filled(b'<!DOCTYPE k SYSTEM "@URL@">' + GOOD_KML))
    ),
    "network.kmz": lambda bait: packed(
        ("doc.kml", bait.filled(kml(b"<NetworkLink><Link><href>@URL@</href></Link></NetworkLink>")))
    ),
    "workbook.xlsx": packed(("xl/workbook.xml", b"<workbook/>")),
}
ACCEPTED = [
    accepted("plain.kmz", {"plain.kmz": zipped(**{"doc.kml": PLAIN, "files/photo.png": b"x"})}),
    accepted("stored.kmz", {"stored.kmz": packed(("doc.kml", PLAIN), method=zipfile.ZIP_STORED)}),
    accepted("folder.zip", {"folder.zip": shapes("Süd plan/")}),
    accepted(
        "sample zip",
        {"plan_shapefile.zip": (SAMPLE / "plan_shapefile.zip").read_bytes()},
        "--layer",
        "plan/zones",
    ),
]


def cases():
    """Return the runs of this kind: refused and accepted."""
    return [*(Case(name, {name: data}) for name, data in REFUSED.items()), *ACCEPTED]
