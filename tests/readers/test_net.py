"""Nothing but a plain refusal comes out of a reader, whatever happened below it."""

import struct
import zlib

import pytest

from lawnmap.errors import InputRefused, LayerNeeded
from lawnmap.files.admit import Source
from lawnmap.readers.net import netted

SOURCE = Source("plan.kml", b"<kml/>", "kml")


@pytest.mark.parametrize(
    "error",
    [ValueError("x"), RecursionError(), MemoryError(), KeyError("x"), zlib.error("x"),
     struct.error("x"), StopIteration(), OverflowError(), LookupError(), OSError(5, "x")],
)  # fmt: skip
def test_every_exception_becomes_a_refusal(error):
    @netted
    def read(source, *, layer=None):
        raise error

    with pytest.raises(InputRefused) as caught:
        read(SOURCE, layer="Lawns")
    assert str(caught.value).startswith(
        f"plan.kml: could not be read ({type(error).__name__}). Nothing was changed."
    )
    assert caught.value.remedy
    assert caught.value.__cause__ is error


def test_our_own_errors_pass_with_the_name_of_the_file():
    @netted
    def read(source):
        raise LayerNeeded("holds 2 layers", place="here")

    with pytest.raises(LayerNeeded) as caught:
        read(source=SOURCE)
    assert str(caught.value).startswith("plan.kml: here: holds 2 layers.")


@pytest.mark.parametrize("error", [KeyboardInterrupt, SystemExit])
def test_a_person_may_still_stop_it(error):
    @netted
    def read(source):
        raise error

    with pytest.raises(error):
        read(SOURCE)


def test_answers_pass_and_the_name_stays():
    @netted
    def look(source):
        """List layers."""
        return [source.name]

    assert look(SOURCE) == ["plan.kml"]
    assert (look.__name__, look.__doc__) == ("look", "List layers.")
