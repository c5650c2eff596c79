"""The picture of a figure on a grid, read back by another program's decoder."""

import io

import numpy as np
import pytest

from lawnmap.exports.drawing.grid_image import SCALES, SUN, image, key
from lawnmap.grids import GridMap

COLOURS = SUN.colours
BOUNDS = (-1.6, 53.7, -1.5, 53.8)


def sun(rows):
    return GridMap(np.array(rows, dtype=np.float32), BOUNDS)


def rgb(colour):
    return tuple(bytes.fromhex(colour[1:]))


def test_each_cell_is_a_pixel_of_its_class():
    pillow = pytest.importorskip("PIL.Image")
    made = image(sun([[0, 3.99, 4, np.nan], [11.9, 12, 24, 7]]), SUN)
    found = pillow.open(io.BytesIO(made.png))
    found.verify()
    picture = np.array(pillow.open(io.BytesIO(made.png)).convert("RGBA"))
    assert picture.shape == (2, 4, 4)
    assert made.bounds == BOUNDS
    assert picture[0, 3, 3] == 0  # clear off the lawn
    assert (picture[..., 3].ravel() == 255).sum() == 7
    shown = [tuple(each[:3].tolist()) for each in picture.reshape(-1, 4)]
    assert shown[:3] == [rgb(COLOURS[0]), rgb(COLOURS[1]), rgb(COLOURS[2])]
    assert shown[4:] == [rgb(COLOURS[5]), rgb(COLOURS[6]), rgb(COLOURS[6]), rgb(COLOURS[3])]


def test_the_key_has_the_classes_that_occur():
    steps = key([sun([[3, np.nan]]), sun([[13, 3.5]])], SUN)
    assert [each.label for each in steps] == ["2 to 4\xa0h", "over 12\xa0h"]
    assert [each.colour for each in steps] == [COLOURS[1], COLOURS[6]]
    assert key([], SUN) == []


def luminance(colour):
    """Relative luminance as WCAG 2 has it."""
    part = np.array(rgb(colour)) / 255
    linear = np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
    return float(linear @ [0.2126, 0.7152, 0.0722])


@pytest.mark.parametrize(("name", "way"), [("sun", 1), ("thatch", -1)])
def test_every_class_is_plainly_lighter_or_darker_than_the_one_before(name, way):
    """So people who do not tell hues apart, and a print in grey, see the order."""
    scale = SCALES[name]
    steps = [luminance(each) + 0.05 for each in scale.colours][::way]
    ratios = np.array(steps[1:]) / np.array(steps[:-1])
    assert ratios.min() > 1.2
    assert len(scale.colours) == len(scale.bands)


def test_the_file_is_small():
    rng = np.random.default_rng(1)
    smooth = np.cumsum(rng.normal(0, 0.05, (200, 300)), axis=1) + 8
    assert len(image(sun(smooth), SUN).png) < 20_000
