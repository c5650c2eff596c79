"""What a reader of somebody else found goes through the checks of our own."""

import numpy as np
import pytest

from lawnmap.errors import InputRefused
from lawnmap.found import Feature, Found, Heights
from lawnmap.readers.gathering import gathered

TRIANGLE = [[[0, 53], [1, 53], [1, 54], [0, 53]]]


def lawn(kind="Polygon", coordinates=TRIANGLE, **properties):
    return Feature({"type": kind, "coordinates": coordinates}, properties, "lawn 1")


def test_sound_features_come_back_with_plain_floats_and_every_warning():
    given = Found((lawn(name="Back\x07"), lawn(coordinates=[])), "OGC:CRS84", ("Old.",), local=True)
    found = gathered(given)
    (only,) = found.features
    assert only.geometry["coordinates"][0][1] == [1.0, 53.0]
    assert only.properties["name"] == "Back"
    assert found.warnings[0] == "Old."
    assert "Left out, without a geometry: lawn 1." in found.warnings
    assert (found.crs, found.local) == ("OGC:CRS84", True)


@pytest.mark.parametrize(
    ("crs", "problem"), [("EPSG:4326", "lawn 1, ring 1, point 2"), (None, ""), ("EPSG:27700", "")]
)
def test_degrees_have_a_range_and_metres_have_none(crs, problem):
    far = lawn(coordinates=[[[0, 53], [400_000, 53], [1, 54], [0, 53]]])
    if not problem:
        assert gathered(Found((far,), crs)).features
        return
    with pytest.raises(InputRefused) as refused:
        gathered(Found((far,), crs))
    assert refused.value.place == problem


def test_what_is_no_outline_is_left_alone():
    given = Found((), None, heights=Heights(np.zeros((1, 3))))
    assert gathered(given) is given
