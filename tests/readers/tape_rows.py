"""Sheets of a tape survey, written short for tests."""

import csv

from lawnmap.files.admit import Source
from lawnmap.readers.tape import reader as tape

HEADER = "measure,from,to,length,along,side,bearing,points,zone,feature,note"


def sheet(*rows, unit="m"):
    """Return a whole sheet; rows are filled up with empty cells."""
    columns = len(HEADER.split(","))
    start = [f"unit,,,{unit}"] if unit else []
    lines = [
        row + "," * (columns - max(len(next(csv.reader([row]), [])), 1)) for row in (*start, *rows)
    ]
    return "\n".join([HEADER, *lines])


def source(text):
    return Source("tape.csv", text.encode() if isinstance(text, str) else text, "tape")


def read(*rows, unit="m", **options):
    return tape.read(source(sheet(*rows, unit=unit)), **options)


def corners(feature):
    """Return the corners of a feature's outline, the first not repeated."""
    return feature.geometry["coordinates"][0][:-1]
