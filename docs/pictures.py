"""Make the pictures of the documentation from the invented sample, in headless Chromium.

``python docs/pictures.py`` makes all, ``python docs/pictures.py visit papers`` those of some
subjects (a file each in docs/picturing/), and ``--check`` makes none and leaves with 1 when
something is said, looks or works otherwise than when its picture was made. What decides that is a
digest of what a picture shows: words, scripts and styles, not its bytes. Digests are kept in
docs/pictures/shown.json.
"""

from __future__ import annotations

import hashlib
import json
import sys
import tempfile
from collections.abc import Iterable, Mapping
from importlib import import_module
from pathlib import Path
from types import ModuleType

DOCS = Path(__file__).parent
sys.path[:0] = [str(DOCS)] if str(DOCS) not in sys.path else []

from picturing.sample import TODAY, Sample  # noqa: E402 - found by the line above

PICTURES = DOCS / "pictures"
SHOWN = PICTURES / "shown.json"
SUBJECTS = (
    "map", "marking", "visit", "papers", "sun", "surveys", "sites", "plan_picture", "terminal",
)  # fmt: skip
REMEDY = "run python docs/pictures.py"


def subject(name: str) -> ModuleType:
    """Return the module of a subject."""
    return import_module(f"picturing.{name}")


def digests(sample: Sample, names: Iterable[str] = SUBJECTS) -> dict[str, str]:
    """Return a digest of what each picture shows today, by the name of the picture."""
    return {
        picture: digest(texts)
        for name in names
        for picture, texts in subject(name).shows(sample).items()
    }


def digest(texts: Iterable[str]) -> str:
    """Return a digest of texts in their order."""
    return hashlib.sha256("\n".join(texts).encode("utf-8")).hexdigest()


def kept() -> dict[str, str]:
    """Return the digests of when the pictures were made."""
    found: dict[str, str] = json.loads(SHOWN.read_text(encoding="ascii")) if SHOWN.exists() else {}
    return found


def stale(today: Mapping[str, str], then: Mapping[str, str]) -> list[str]:
    """Return the subjects of which a picture shows something else than there is today."""
    other = {name for name in {*today, *then} if today.get(name) != then.get(name)}
    of = {picture: name for name in SUBJECTS for picture in subject(name).NAMES}
    return sorted({of.get(name, name) for name in other})


def make(sample: Sample, names: Iterable[str]) -> None:
    """Make the pictures of some subjects and write down what they show."""
    from picturing.studio import studio

    PICTURES.mkdir(exist_ok=True)
    with studio(TODAY) as one:
        for name in names:
            with tempfile.TemporaryDirectory() as folder:
                for picture, data in subject(name).take(one, sample, Path(folder)):
                    (PICTURES / f"{picture}.png").write_bytes(data)
                    print(f"docs/pictures/{picture}.png  {len(data) / 1000:,.0f} kB")
    there = {picture for name in SUBJECTS for picture in subject(name).NAMES}
    old = {picture: each for picture, each in kept().items() if picture in there}
    text = json.dumps({**old, **digests(sample, names)}, indent=1, sort_keys=True)
    SHOWN.write_text(text + "\n", encoding="ascii", newline="\n")


def main(arguments: list[str]) -> int:
    """Make the pictures of the subjects that are named, or of all; or check them."""
    sample = Sample()
    if arguments == ["--check"]:
        old = stale(digests(sample), kept())
        if old:
            print(f"Pictures show what is no longer so: {REMEDY} {' '.join(old)}", file=sys.stderr)
        return 1 if old else 0
    unknown = [each for each in arguments if each not in SUBJECTS]
    if unknown:
        print(f"No subject {', '.join(unknown)}. There are: {', '.join(SUBJECTS)}", file=sys.stderr)
        return 2
    make(sample, arguments or SUBJECTS)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
