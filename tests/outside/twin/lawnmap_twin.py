"""Sound as a reader, a treatment and an export; its names are those of others."""

TITLE, KIND, SUFFIX, AUDIENCE = "Twin", "hand", ".txt", "owner"
KINDS, CHILD = ("geojson",), False


def look(source):
    return []


def read(source, *, layer=None, crs=None, units=None):
    raise NotImplementedError


def steps(zones, specification):
    raise NotImplementedError


def render(paper):
    return b"twin\n"
