"""What runs inside the process that fuzzes: atheris with one target, findings kept, none fatal.

Only this module needs atheris, and only ``python -m tests.fuzz`` imports it.
"""

from __future__ import annotations

import hashlib
import re
import sys
import warnings
from collections.abc import Callable
from pathlib import Path

import atheris

MOST_OF_A_KIND = 3  # files kept of what is plainly one finding


def fuzz(target: str, folder: Path, seconds: int) -> None:
    """Fuzz one target; this ends the process.

    Parameters
    ----------
    target : str
    folder : Path
        Holds ``corpus``, ``findings`` and the dictionary.
    seconds : int
        How long.
    """
    # Modules are measured as they are imported; those that functions import are, by the seeds.
    with atheris.instrument_imports(include=["lawnmap", "tomllib"]):
        from tests.fuzz import findings, seeds, targets

        act = targets.TARGETS[target]
        kept = Kept(act, folder / "findings", findings)
        warnings.simplefilter("error")
        for data in seeds.seeds(target):
            kept(data)
            (folder / "corpus" / hashlib.sha256(data).hexdigest()[:16]).write_bytes(data)
    words = folder / "words.dict"
    words.write_text(seeds.dictionary(target), encoding="ascii")
    options = [
        f"-max_total_time={seconds}", f"-dict={words}", f"-artifact_prefix={folder / 'findings'}/",
        "-timeout=60", "-report_slow_units=60", "-rss_limit_mb=2048", "-max_len=8192",
    ]  # fmt: skip
    atheris.Setup([sys.argv[0], *options, str(folder / "corpus")], kept)
    atheris.Fuzz()


class Kept:
    """Calls a target and keeps what it finds, so that one finding does not hide the next."""

    def __init__(self, act: Callable[[bytes], None], folder: Path, findings) -> None:
        self.act, self.folder, self.findings = act, folder, findings
        self.kinds: dict[str, int] = {}

    def __call__(self, data: bytes) -> None:
        """Give one input to the target."""
        try:
            self.findings.judged(self.act, data)
        except self.findings.Finding as finding:
            kind = re.sub(r"\W+", "-", self.findings.frame_of(finding))[:80]
            self.kinds[kind] = self.kinds.get(kind, 0) + 1
            if self.kinds[kind] <= MOST_OF_A_KIND:
                name = f"{kind}-{hashlib.sha256(data).hexdigest()[:8]}"
                (self.folder / name).write_bytes(data)
                (self.folder / f"{name}.txt").write_text(f"{finding}\n", encoding="utf-8")
