"""Archives made byte by byte, every field of their headers open to a lie."""

import struct
import zlib

KML = b"<kml><Document/></kml>" * 20


class Entry:
    """One file of an archive, every field of its headers open to a lie."""

    def __init__(self, name, content=KML, **lies):
        packer = zlib.compressobj(9, zlib.DEFLATED, -15)
        self.packed = packer.compress(content) + packer.flush()
        self.name = name if isinstance(name, bytes) else name.encode()
        self.size = len(content)
        self.crc = zlib.crc32(content)
        self.method = 8
        self.flags = 0
        self.mode = 0
        self.packed_size = len(self.packed)
        self.offset = None
        for key, value in lies.items():
            setattr(self, key, value)

    def fields(self):
        return (self.flags, self.method, 0, 0, self.crc, self.packed_size, self.size)

    def local(self):
        fixed = struct.pack("<4s5H3L2H", b"PK\3\4", 20, *self.fields(), len(self.name), 0)
        return fixed + self.name + self.packed

    def central(self, offset):
        offset = offset if self.offset is None else self.offset
        attributes = self.mode << 16
        fixed = struct.pack(
            "<4s6H3L5H2L", b"PK\1\2", 0x314, 20, *self.fields(), len(self.name), 0, 0, 0, 0,
            attributes, offset,
        )  # fmt: skip
        return fixed + self.name


def packed(*entries, before=b""):
    body, central = before, b""
    for entry in entries:
        central += entry.central(len(body))
        body += entry.local()
    count = len(entries)
    end = struct.pack("<4s4H2LH", b"PK\5\6", 0, 0, count, count, len(central), len(body), 0)
    return body + central + end
