"""One layer is chosen by itself, one of several only by name."""

import pytest

from lawnmap.errors import InputRefused, LayerNeeded
from lawnmap.found import Layer
from lawnmap.readers.layers import choose

LAWNS = Layer("Plan/Lawns", 3, ("Polygon",), 1250.36)
TREES = Layer("Trees", 12, ("Point",))


def test_the_only_one():
    assert choose([LAWNS], None) is LAWNS


def test_the_one_asked_for():
    assert choose([LAWNS, TREES], "Trees") is TREES


def test_several_and_none_asked_for():
    with pytest.raises(LayerNeeded, match="holds 2 layers") as caught:
        choose([LAWNS, TREES], None)
    assert caught.value.remedy == (
        'Choose with --layer (--layers lists them): "Plan/Lawns" (3, 1,250.4 m²), "Trees" (12).'
    )


def test_one_that_is_not_there():
    with pytest.raises(InputRefused, match="no layer 'lawns'") as caught:
        choose([LAWNS, TREES], "lawns")
    assert '"Plan/Lawns" (3, 1,250.4 m²)' in caught.value.remedy
    with pytest.raises(InputRefused, match="no layer 'lawns'") as caught:
        choose([LAWNS], "lawns")
    assert caught.value.remedy == 'Its only layer is "Plan/Lawns": leave --layer out.'


def test_none_at_all():
    with pytest.raises(InputRefused, match="holds no features"):
        choose([], None)


def test_a_long_list_is_cut():
    with pytest.raises(LayerNeeded) as caught:
        choose([Layer(f"track {n}", 1) for n in range(500)], None)
    assert caught.value.remedy.endswith('"track 19" (1), and 480 more.')
