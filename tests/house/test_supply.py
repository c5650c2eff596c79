"""What lawnmap stands on: a whole lock, licences that are allowed, and notices of what goes out."""

import csv
import hashlib
import json
import re
import sys
from importlib.metadata import Distribution, PackageNotFoundError, distribution, distributions
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.house.lock import LOCK, ROOT, asked, for_here, pins

LICENCES = Path(__file__).parent / "licences.csv"
# What belongs to the environment itself, or is what is tested.
NOT_LOCKED = {"pip", "setuptools", "wheel", "lawnmap"}
# The mark that .ci/setup leaves in the environment it made from the lock.
MADE_BY_CI = Path(sys.prefix, "lawnmap-lock")
WORD = re.compile(r"\(|\)|[^\s()]+")


def whole_lock():
    return pins(LOCK.read_text("utf-8"))


def lock():
    return for_here(whole_lock())


def installed(name):
    try:
        return distribution(name)
    except PackageNotFoundError:
        return None


# The lock ----------------------------------------------------------------------------------------


def walk(name, extras, seen):
    """Add every requirement of an installed distribution that counts here, and theirs."""
    found = installed(name)
    for text in found.requires or [] if found else []:
        needed = Requirement(text)
        wanted = [
            extra
            for extra in (extras or {""})
            if needed.marker is None or needed.marker.evaluate({"extra": extra})
        ]
        key = (canonicalize_name(needed.name), frozenset(needed.extras))
        if wanted and key not in seen:
            seen[key] = (needed, name)
            walk(*key, seen)


def needed_here():
    """Return each requirement of lawnmap and of all it needs, by name and extras."""
    seen = {}
    for who, needed in asked():
        if needed.marker is None or needed.marker.evaluate():
            key = (canonicalize_name(needed.name), frozenset(needed.extras))
            seen[key] = (needed, who)
            walk(*key, seen)
    return seen


def test_the_lock_is_whole(figure):
    locked = lock()
    missing, wrong = [], []
    for (name, _), (needed, who) in needed_here().items():
        if name not in locked:
            missing.append(f"{needed} of {who}")
        elif not needed.specifier.contains(locked[name].version, prereleases=True):
            wrong.append(f"{name} {locked[name].version} for {needed} of {who}")
    everywhere = whole_lock()
    unhashed = [pin.name for pin in everywhere if not pin.hashes]
    assert (missing, wrong, unhashed) == ([], [], [])
    for pin in everywhere:
        assert len(set(pin.hashes)) == len(pin.hashes), pin.name
    hashes = sum(len(pin.hashes) for pin in everywhere)
    figure(
        29,
        f"lock: {len({pin.name for pin in everywhere})} distributions with {hashes:,} SHA-256 "
        f"hashes; of {len(needed_here())} requirements of pyproject.toml and all behind them "
        f"{len(missing)} missing, {len(unhashed)} without a hash",
    )


def test_every_extra_and_the_build_are_locked():
    locked = lock()
    who = {group for group, _ in asked()}
    assert {"run time", "build", "test", "lint", "dask", "pdf"} <= who
    for group, needed in asked():
        pin = locked[canonicalize_name(needed.name)]
        assert needed.specifier.contains(pin.version), f"{needed} of {group}"


def test_nothing_is_installed_beside_the_lock():
    """In the environment that CI made; any other holds what its owner likes."""
    locked = lock()
    here = {canonicalize_name(each.name): each.version for each in distributions()}
    strays = (
        {name: version for name, version in here.items() if name not in locked}
        if (MADE_BY_CI.exists())
        else {}
    )
    other = {
        name: (version, locked[name].version)
        for name, version in here.items()
        if MADE_BY_CI.exists() and name in locked and version != locked[name].version
    }  # fmt: skip
    assert set(strays) <= NOT_LOCKED
    assert other == {}


def test_the_lock_is_as_new_as_the_project():
    """The digest in its first line, worked out as .ci/lock does."""
    import tomllib

    with (ROOT / "pyproject.toml").open("rb") as stream:
        read = tomllib.load(stream)
    project = read["project"]
    parts = [
        read["build-system"]["requires"],
        project["dependencies"],
        project["optional-dependencies"],
        project["requires-python"],
    ]
    digest = hashlib.sha256(json.dumps(parts).encode()).hexdigest()[:16]
    assert LOCK.read_text("utf-8").splitlines()[0] == f"# asked: {digest}"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("alpha==1 \\\n    --hash=sha256:" + "a" * 63, "neither"),
        ("alpha==1 \\\n    --hash=md5:" + "a" * 32, "neither"),
        ("alpha @ https://example.org/alpha.whl \\", "neither"),
        ("alpha>=1 \\", "neither"),
        ("alpha==1 \\\nAlpha==2 \\", "twice"),
        ("alpha==1 ; python_version > '3' \\\nalpha==2 \\", "twice"),
    ],
)
def test_a_bad_lock_is_refused(text, said):
    with pytest.raises(ValueError, match=said):
        for_here(pins(text))


def test_a_pin_without_a_hash_is_seen():
    text = "a_b==1 ; python_version < '3' \\\na-b==2 \\\nc==2 \\\n    --hash=sha256:" + "0" * 64
    found = pins(text)
    assert [pin.marker for pin in found] == ["python_version < '3'", "", ""]
    assert [len(pin.hashes) for pin in found] == [0, 0, 1]
    assert for_here(found)["a-b"].version == "2"


# Licences ----------------------------------------------------------------------------------------


def table():
    with LICENCES.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    return {kind: {row["name"]: row for row in rows if row["kind"] == kind} for kind in
            ("licence", "name", "package")}  # fmt: skip


def allows(expression, allowed):
    """Return whether an SPDX expression can be met with allowed licences only."""
    words = WORD.findall(expression)

    def either():
        met = both()
        while words[:1] == ["OR"]:
            words.pop(0)
            met = both() or met
        return met

    def both():
        met = one()
        while words[:1] == ["AND"]:
            words.pop(0)
            met = one() and met
        return met

    def one():
        word = words.pop(0)
        if word != "(":
            return word in allowed
        met = either()
        assert words.pop(0) == ")", expression
        return met

    met = either()
    assert not words, f"{expression!r} is no expression of licences"
    return met


def stated(metadata, names):
    """Return the licence that a distribution states of itself as an SPDX expression, or ""."""
    if metadata["License-Expression"]:
        return metadata["License-Expression"]
    said = (metadata["License"] or "").strip()
    if said and "\n" not in said and len(said) < 60:
        return names[said]["licence"] if said in names else said
    kinds = [each.split(" :: ")[-1] for each in metadata.get_all("Classifier") or []
             if each.startswith("License :: ")]  # fmt: skip
    return " AND ".join(names[each]["licence"] if each in names else "?" for each in kinds)


def ruling(found: Distribution, known):
    """Return "" for a distribution whose licence is allowed, else why it is not."""
    name = canonicalize_name(found.name)
    if name in known["package"]:  # it holds for the licence that was looked at
        now, then = found.metadata["License-Expression"], known["package"][name]["licence"]
        return "" if now in {None, then} else f"{name}: {now} where {then} was looked at"
    expression = stated(found.metadata, known["name"])
    if not expression or "?" in expression:
        return f"{name}: no licence is known"
    try:
        allowed = allows(expression, known["licence"])
    except (AssertionError, IndexError):
        return f"{name}: {expression!r} is not understood"
    return "" if allowed else f"{name}: {expression}"


def test_every_licence_is_allowed(figure):
    known = table()
    here = [found for found in map(installed, lock()) if found]
    bad = [said for said in (ruling(found, known) for found in here) if said]
    assert bad == []
    away = sorted({pin.name for pin in whole_lock() if installed(pin.name) is None})
    named = [name for name in known["package"] if installed(name)]
    figure(
        29,
        f"licences: {len(bad)} not allowed of {len(here)} locked distributions installed here "
        f"({len(named)} by a named exception); not looked at: {', '.join(away) or 'none'}",
    )
    if MADE_BY_CI.exists():
        assert set(away).isdisjoint(lock())


def test_every_exception_is_wanted_and_has_a_reason():
    known, locked = table(), {pin.name for pin in whole_lock()}
    for name, row in known["package"].items():
        assert len(row["why"]) > 20, name
        assert name in locked or name.startswith("psycopg"), f"{name} is not in the lock any more"
    for row in known["name"].values():
        assert row["licence"] in known["licence"]
    assert {name: row["licence"] for name, row in known["licence"].items()} == {
        name: name for name in known["licence"]
    }


class Made(Distribution):
    """An invented distribution."""

    def __init__(self, text):
        self.text = text

    def read_text(self, filename):
        return self.text if filename == "METADATA" else None

    def locate_file(self, path):
        return path


def test_an_exception_ends_with_the_licence_it_was_made_for():
    known = table()
    for licence, said in (("LGPL-3.0-only", ""), ("AGPL-3.0-only", "LGPL-3.0-only was looked at")):
        found = ruling(Made(f"Name: fpdf2\nVersion: 3\nLicense-Expression: {licence}\n"), known)
        assert said in found
        assert bool(said) == bool(found)


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ("License-Expression: MIT", ""),
        ("License-Expression: MPL-2.0 AND (Apache-2.0 OR MIT)", ""),
        ("License-Expression: GPL-3.0-only OR MIT", ""),
        ("License-Expression: GPL-3.0-only AND MIT", "GPL-3.0-only AND MIT"),
        ("License-Expression: LGPL-3.0-only", "LGPL-3.0-only"),
        ("License-Expression: MIT MIT", "not understood"),
        ("License: MIT License", ""),
        ("License: Secret", "Secret"),
        ("Classifier: License :: OSI Approved :: MIT License", ""),
        ("Classifier: License :: Other/Proprietary License", "no licence is known"),
        ("Classifier: License :: OSI Approved :: MIT License\nClassifier: License :: Odd", "known"),
        ("Classifier: Topic :: Scientific/Engineering :: GIS", "no licence is known"),
    ],
)
def test_what_is_allowed_and_what_is_not(lines, said):
    found = ruling(Made(f"Name: alpha\nVersion: 1\n{lines}\n"), table())
    assert (found == "") is (said == "")
    assert said in found


# Notices -----------------------------------------------------------------------------------------


def test_the_notice_names_what_goes_out_with_version_and_licence():
    from fontTools.ttLib import TTFont

    from lawnmap.exports.pdf import document

    notice = " ".join((ROOT / "docs" / "NOTICE").read_text("utf-8").split())
    leaflet = ".".join(distribution("XStatic-Leaflet").version.split(".")[:3])
    assert notice.count(f"Leaflet {leaflet}") == 2
    assert "BSD 2-Clause License Copyright (c) 2010-2022, Vladimir Agafonkin" in notice
    assert "folium (MIT licence" in notice
    assert f"fpdf2 ({table()['package']['fpdf2']['licence'].replace('-', ' ', 1)[:8]}" in notice
    for face in document.FACES.values():
        with TTFont(face) as font:
            names = font["name"]
            version = names.getDebugName(5).removeprefix("Version ")
            assert names.getDebugName(1) == "Open Sans"
            assert "Apache License, Version 2.0" in names.getDebugName(13)
        assert f"Open Sans Regular and Bold (version {version};" in notice
    assert "Apache License, Version 2.0" in notice


def test_the_notice_names_every_page_that_holds_leaflet():
    notice = (ROOT / "docs" / "NOTICE").read_text("utf-8")
    said = {
        "map/page.py": "--to map`",
        "visit/page.py": "--to visit`",
        "sites/map.py": "`lawnmap s",
    }
    folder = ROOT / "lawnmap" / "exports"
    holders = {
        str(path.relative_to(folder))
        for path in folder.rglob("*.py")
        if "leaflet" in path.read_text("utf-8")
    }
    assert holders == set(said)
    assert all(each in notice for each in said.values())


def test_the_notice_goes_into_the_package():
    text = (ROOT / "pyproject.toml").read_text("utf-8")
    assert 'license-files = ["docs/NOTICE"]' in text


# The security section ----------------------------------------------------------------------------


def security():
    return (ROOT / "DEVELOPERS.md").read_text("utf-8").split("\n## Security\n")[1]


def test_every_guard_and_test_that_the_security_section_names_is_there():
    rows = [line for line in security().splitlines() if line.startswith("| ")][1:]
    assert len(rows) >= 8
    for row in rows:
        *_, guards, tests, _ = row.split("|")
        named = [re.findall(r"`((?:lawnmap|tests)/[\w/.]+)`", cell) for cell in (guards, tests)]
        assert named[1], row
        assert [each for names in named for each in names if not (ROOT / each).exists()] == []


def test_no_contact_is_made_up():
    text = security()
    assert "A contact is not set yet" in text
    assert not re.search(r"\S+@\S+\.\S+|https?://", text)
    assert "14 days (from memory" in text
