"""Build the site of the docs and follow its links: ``python docs/website/build.py``.

Warnings are errors, the notebook is run, and every link inside the site has to lead somewhere.
Nothing is fetched: links that lead out are listed in ``outside.txt`` beside the pages, and
``python -m sphinx -b linkcheck -c docs/website build/docs/source build/docs/linkcheck`` asks them
where there is a network.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import sys
from pathlib import Path

import links
import source_tree

TOP = Path(__file__).parents[2]
HERE = Path(__file__).parent
MOST_SAID = 40


def main(arguments: list[str]) -> int:
    """Build, check, and say where the first page is; return the exit code."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", nargs="?", type=Path, default=TOP / "build" / "docs")
    folder: Path = parser.parse_args(arguments).folder.resolve()
    source, site = folder / "source", folder / "html"
    source_tree.make(source)
    shutil.rmtree(site, ignore_errors=True)
    if built(source, site, folder / "doctrees"):
        return 1
    found = links.check(site)
    (folder / "outside.txt").write_text("\n".join(found.outside) + "\n", encoding="utf-8")
    for fault in found.faults[:MOST_SAID]:
        print(f"{fault.page}: {fault.target}: {fault.why}", file=sys.stderr)
    print(
        f"{found.pages} pages, {found.links:,} links, {len(found.faults)} wrong; "
        f"{len(found.outside)} lead out, none fetched ({folder / 'outside.txt'})"
    )
    print(site / "index.html")
    return 1 if found.faults else 0


def built(source: Path, site: Path, kept: Path) -> int:
    """Run the generator on a source tree; return its exit code."""
    options = ["-b", "html", "-W", "--keep-going", "-n", "-E", "-q", "-j", "auto"]
    command = [sys.executable, "-m", "sphinx", *options, "-c", str(HERE), "-d", str(kept)]
    return subprocess.run([*command, str(source), str(site)], check=False).returncode  # noqa: S603


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
