"""The lock of the docs is as new as the project, hashed, and of the versions of the other lock."""

import hashlib
import importlib.util
import json
import tomllib
from pathlib import Path

TOP = Path(__file__).parents[2]
LOCK = TOP / ".ci" / "lock-docs.txt"


def house():
    spec = importlib.util.spec_from_file_location("house_lock", TOP / "tests" / "house" / "lock.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_it_is_as_new_as_the_project():
    """The digest in its first line, worked out as .ci/lock does."""
    read = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))
    project = read["project"]
    parts = [
        read["build-system"]["requires"],
        project["dependencies"],
        [project["optional-dependencies"][each] for each in ("parquet", "sun")],
        read["dependency-groups"]["docs"],
        project["requires-python"],
    ]
    digest = hashlib.sha256(json.dumps(parts).encode()).hexdigest()[:16]
    assert LOCK.read_text("utf-8").splitlines()[0] == f"# asked: {digest}"


def test_every_pin_has_hashes_and_no_version_of_its_own():
    pins = house().pins
    ours, docs = (pins((TOP / ".ci" / name).read_text("utf-8")) for name in ("lock.txt", LOCK.name))
    versions = {(pin.name, pin.marker): pin.version for pin in ours}
    assert {"sphinx", "myst-nb", "furo", "geopandas", "hatchling"} <= {pin.name for pin in docs}
    for pin in docs:
        assert pin.hashes, pin.name
        same = {version for (name, _), version in versions.items() if name == pin.name}
        assert not same or pin.version in same, pin.name
