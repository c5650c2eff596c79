"""Every error has one form, a code of its own and the built-in it refines."""

import pytest

from lawnmap import errors
from lawnmap.errors import InputRefused

CODES = {
    "LawnmapError": (1, Exception),
    "UsageProblem": (2, ValueError),
    "InputRefused": (3, ValueError),
    "CRSNeeded": (3, ValueError),
    "LayerNeeded": (3, ValueError),
    "ExtraNeeded": (3, ImportError),
    "PluginProblem": (3, ValueError),
    "SiteDamaged": (4, ValueError),
    "WriteFailed": (5, OSError),
    "Busy": (6, RuntimeError),
}


def test_the_public_list_is_whole_and_sorted():
    assert errors.__all__ == sorted(CODES)
    assert issubclass(errors.Note, UserWarning)  # no error: the work goes on


@pytest.mark.parametrize("name", sorted(CODES))
def test_code_and_family(name):
    made = getattr(errors, name)("is wrong", file="a.kml", place="zone 3", remedy="Mend it.")
    code, family = CODES[name]
    assert made.exit_code == code
    assert isinstance(made, family)
    assert isinstance(made, errors.LawnmapError)
    assert str(made).startswith("a.kml: zone 3: is wrong.")
    assert str(made).endswith("Mend it.")


def test_control_characters_cannot_leave_the_line():
    told = str(InputRefused("is wrong", file="a\n\x1b[31m\u202eb.kml"))
    assert "\n" not in told
    assert "\x1b" not in told
    assert "\u202e" not in told


def test_a_long_name_does_not_hide_what_is_wrong():
    told = str(InputRefused("is empty", file="x" * 5000, place="y" * 5000, remedy="Look."))
    assert "is empty" in told
    assert told.endswith("Look.")
    assert len(told) <= errors.LONGEST_MESSAGE
    assert len(str(InputRefused("z" * 5000))) == errors.LONGEST_MESSAGE


def test_what_is_known_already_is_not_overwritten():
    error = InputRefused("x", file="inner").within(file="outer", place="here")
    assert (error.file, error.place) == ("inner", "here")
