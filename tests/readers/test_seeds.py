"""Every file that once made a reader fail, read again as a person would: ``tests/seeds/<kind>``.

A file that is called ``read-…`` has to be read, one called ``refused-…`` to be refused in words;
any other may be either, and neither is ever a fault. Options stand in a file ``….toml`` of the same
name: those of :class:`lawnmap.jobs.reading.Reading`, and

* ``says``: what the refusal or the warnings have to say among other things;
* ``unplaced``: the site it is read into has no zones yet.

Files beside a seed that its kind reads with it (``.prj``, ``.pgw``, …) have its name as well. Other
folders of ``tests/seeds`` are of other tests.
"""

import tomllib
from pathlib import Path

import pytest

from lawnmap.errors import InputRefused
from lawnmap.files.admit import SISTERS
from lawnmap.files.kind import PROMISES
from lawnmap.jobs.reading import Reading
from tests.jobs.structured_reads import Site

SEEDS = Path(__file__).parents[1] / "seeds"
KINDS = {*PROMISES.values(), "tape"}
BESIDE = {".toml", *(suffix for suffixes in SISTERS.values() for suffix in suffixes)}


def seeds(folder=SEEDS):
    """Return every plan among the seeds, by kind and name."""
    plans = (path for path in sorted(folder.glob("*/*")) if path.parent.name in KINDS)
    return [path for path in plans if path.suffix.lower() not in BESIDE]


def replayed(path, folder):
    """Read a seed; return what became of it, which has to be what its name says."""
    notes = path.with_suffix(".toml")
    options = tomllib.loads(notes.read_text(encoding="utf-8")) if notes.exists() else {}
    says = options.pop("says", "")
    site = Site(folder, placed=not options.pop("unplaced", False))
    layers = tuple(options.pop("layers", ()))
    sisters = sorted(path.parent.glob(f"{path.stem}.*"))
    files = {each.name: each.read_bytes() for each in (path, *sisters) if each != notes}
    became = "read"
    try:
        told = " ".join(site.take(files, Reading(layers=layers, **options)).warnings)
    except InputRefused as error:
        became, told = "refused", str(error)
    wanted = next(
        (each for each in ("read", "refused") if path.name.startswith(f"{each}-")), became
    )
    assert (became, says in told) == (wanted, True), told
    return became


@pytest.mark.parametrize("path", seeds(), ids=lambda path: f"{path.parent.name}/{path.name}")
def test_what_once_failed_is_read_or_refused(path, tmp_path):
    assert replayed(path, tmp_path) in {"read", "refused"}


# That a seed would be noticed -------------------------------------------------------------------


def test_a_seed_that_is_refused_and_should_not_be_is_noticed(tmp_path):
    folder = tmp_path / "kml"
    folder.mkdir()
    (folder / "read-nothing.kml").write_text("<kml/>")
    (folder / "refused-nothing.kml").write_text("<kml/>")
    (folder / "refused-nothing.toml").write_text('layers = ["*"]\nsays = "holds no features"')
    one, other = seeds(tmp_path)
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    with pytest.raises(AssertionError, match="holds no features"):
        replayed(one, tmp_path / "a")
    replayed(other, tmp_path / "b")
