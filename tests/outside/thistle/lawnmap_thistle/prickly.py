"""Reader, treatment and export at once: each gives up in the middle."""

TITLE, KIND, SUFFIX, AUDIENCE = "Thistle", "hand", ".txt", "owner"
KINDS, CHILD = ("thistle",), False


def look(source):
    return [][source.name]


def read(source, *, layer=None, crs=None, units=None):
    return {}["prickle"]


def steps(zones, specification):
    zones["ground_area_m2"] = -1.0
    raise ZeroDivisionError("no hour in a day")


def render(paper):
    raise SystemExit(0)
