"""Classes and colours: the edges, and whether colour-blind people can tell them apart."""

import numpy as np
import pandas as pd
import pytest

from lawnmap.exports.drawing.hatches import STROKES, definitions, luminance
from lawnmap.exports.drawing.themes import PALETTES, UNKNOWN, themes
from tests.exports.papers import paper

# Machado, Oliveira and Fernandes, "A physiologically-based model for simulation of color vision
# deficiency", IEEE TVCG 15 (2009), table 1, severity 1.0; for linear sRGB.
SEEN_BY = {
    "everybody": np.eye(3),
    "protan": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "deutan": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
    "tritan": [
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.303900],
    ],
    "a grey print": [[0.2126, 0.7152, 0.0722]] * 3,
}
TO_XYZ = [  # IEC 61966-2-1 (sRGB, D65)
    [0.4124, 0.3576, 0.1805],
    [0.2126, 0.7152, 0.0722],
    [0.0193, 0.1192, 0.9505],
]
WHITE = np.array([0.9505, 1.0, 1.0890])
NOTICEABLE = 8.0  # CIE 1976 difference; 2.3 is the least a trained eye sees side by side


def linear(colour):
    part = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    return np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)


def lab(rgb):
    """CIE 1976 L*a*b* of a linear colour (CIE 15)."""
    xyz = np.asarray(TO_XYZ) @ np.clip(rgb, 0, 1) / WHITE
    f = np.where(xyz > (6 / 29) ** 3, np.cbrt(xyz), xyz / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


@pytest.mark.parametrize("eye", SEEN_BY)
@pytest.mark.parametrize("name", PALETTES)
def test_every_two_classes_can_be_told_apart(name, eye):
    seen = [lab(np.asarray(SEEN_BY[eye]) @ linear(colour)) for colour in PALETTES[name]]
    for place, one in enumerate(seen):
        for other in seen[place + 1 :]:
            assert np.linalg.norm(one - other) > NOTICEABLE


@pytest.mark.parametrize("name", PALETTES)
def test_lightness_runs_one_way(name):
    steps = np.diff([lab(linear(colour))[0] for colour in PALETTES[name]])
    assert (np.sign(steps) == np.sign(steps[0])).all()


def test_luminance_is_that_of_the_standard():
    # WCAG 2.2 gives #777777 on white the well-known contrast of 4.48 to 1.
    contrast = (1.0 + 0.05) / (luminance("#777777") + 0.05)
    assert contrast == pytest.approx(4.48, abs=0.005)


def test_every_class_has_a_hatch_of_its_own():
    assert len(set(STROKES)) == len(STROKES) >= max(map(len, PALETTES.values()))
    markup = definitions()
    for name, palette in PALETTES.items():
        for place, colour in [*enumerate(palette), ("none", UNKNOWN)]:
            assert f'id="{name}-{place}"' in markup
            assert colour in markup


def zones(**columns):
    count = len(next(iter(columns.values())))
    plan = paper().plan
    return plan.zones.iloc[:count][["geometry"]].assign(**columns)


def theme(table, name):
    return {each.name: each for each in themes(table)}[name]


def test_edges_are_half_open_and_a_measurement_beats_a_rating():
    # The edges of the schema: 0, 5, 25, 50, 75 %; the lower edge belongs to the class.
    table = zones(
        moss_cover_pct=[0.0, 4.9, 5.0, 24.9, 25.0, 75.0, np.nan, np.nan],
        moss_rating=[5, 5, 5, 5, 0, 0, 3, np.nan],
    )
    assert theme(table, "moss").classes.tolist() == [0, 1, 2, 2, 3, 5, 3, -1]


def test_cores_stand_between_measurement_and_rating():
    table = zones(
        thatch_mm=[np.nan, np.nan, np.nan],
        thatch_rating=[0, 4, 4],
        thatch_low_mm=[14.0, 19.0, np.nan],
        thatch_high_mm=[18.0, 25.0, np.nan],
        thatch_from=["cores", "rating", ""],
    )
    # The last is a rating that fine turf makes void.
    assert theme(table, "thatch").classes.tolist() == [2, 4, -1]


def test_columns_that_were_not_disclosed_make_no_theme():
    assert themes(zones(looked_after_by=[None])) == []
    assert [each.name for each in themes(zones(sun_hours_seen=[3.0]))] == ["sun"]


def test_a_verdict_that_plans_nothing_is_not_planned():
    found = theme(zones(verdict=["renovate", "not rated", None]), "work")
    assert found.classes.tolist() == [2, -1, -1]
    assert found.unknown == "not planned"
    assert found.fills == ["url(#work-2)", "url(#work-none)", "url(#work-none)"]


def test_labels_are_figures_without_judgement():
    shown = [each.replace("\u00a0", " ") for each in theme(paper().plan.zones, "moss").labels]
    assert shown == ["none", "under 5 %", "5 to 25 %", "25 to 50 %", "50 to 75 %", "over 75 %"]


def test_a_missing_value_of_any_kind_is_no_class():
    table = zones(sun_hours_seen=pd.Series([None, 3.0], index=["z0", "z1"], dtype=object))
    assert theme(table, "sun").classes.tolist() == [-1, 1]
