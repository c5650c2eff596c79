"""Results are drawn with the colours, hatches and dashes of lawnmap's own map."""

import pytest

from lawnmap.desktop import looks
from lawnmap.exports.drawing import hatches, symbols, themes
from lawnmap.exports.drawing.style_sld import OUTLINE, VEIL
from lawnmap.reference.tables import scale


def by_title(style):
    return {look.title: look for look in looks.STYLES[style].looks}


def test_colours_are_those_of_the_map():
    assert {name: themes.PALETTES[name] for name in looks.PALETTES} == looks.PALETTES
    assert (themes.UNKNOWN, OUTLINE, VEIL) == (looks.UNKNOWN, looks.OUTLINE, looks.VEIL)
    assert themes.WORK == looks.WORK
    assert [low for low, _ in themes.SUN_H] == list(looks.SUN_H)


def test_classes_are_the_words_of_the_scales():
    assert tuple(each.word for each in scale("moss")) == looks.MOSS
    words = [each.word for name in ("thatch", "thatch fine") for each in scale(name)]
    assert [word for word, _ in looks.THATCH] == words


@pytest.mark.parametrize("style", ["moss", "thatch", "work", "sun"])
def test_classes_are_told_apart_without_colour(style):
    """A hatch grows denser with the class, as on the map; what is not known has one of its own."""
    found = looks.STYLES[style].looks
    hatch = {look.fill: look.hatch for look in found if look.fill != looks.UNKNOWN}
    assert len(set(hatch.values())) == len(hatch)
    assert found[-1] == looks.Look(
        "not known", "", looks.UNKNOWN, veil=looks.VEIL, hatch=looks.NOT_KNOWN
    )
    assert len(looks.HATCHES) == len(hatches.STROKES)


@pytest.mark.parametrize(
    ("style", "title", "kind"),
    [
        ("kept_clear", "kept clear: untreated", "kept_clear untreated"),
        ("kept_clear", "kept clear: by hand only", "kept_clear hand"),
        ("bouts", "first pass", "bouts 1"),
        ("bouts", "crossing pass", "bouts 2"),
        ("load_areas", "ground of a load", "load_areas"),
        ("refills", "fill up here", "refills"),
    ],
)
def test_what_is_set_out_looks_as_on_the_map(style, title, kind):
    ours, theirs = by_title(style)[title], symbols.look(kind)
    assert (ours.stroke, ours.width, ours.dash) == (theirs.stroke, theirs.width, theirs.dash)
    if theirs.fill:
        assert (ours.fill, ours.veil) == (theirs.fill, theirs.veil)


def test_one_look_at_most_is_for_the_rest_and_it_comes_last():
    for name, style in looks.STYLES.items():
        without = [index for index, look in enumerate(style.looks) if not look.test]
        assert without == [len(style.looks) - 1], name
        assert set(style.others) <= set(looks.STYLES), name
