"""The profiles of the desktop GIS, QGIS, of whoever runs this.

Where they are is how that GIS keeps them (from memory, tried with version 3.22 on Debian only): a
folder for each profile below ``QGIS3/profiles``, and ``QGIS4/profiles`` from version 4 on, in the
folder that the system has for the data of programs.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from lawnmap.errors import InputRefused

GENERATIONS = ("QGIS3", "QGIS4")
PROFILES = "profiles"
USUAL = "default"
PACKAGE = "lawnmap_desktop"
CUSTOM = "QGIS_CUSTOM_CONFIG_PATH"  # the GIS itself goes by it
FLATPAK = Path(".var", "app", "org.qgis.qgis", "data", "QGIS")
START = "Start the GIS once, which makes its profile, or give the profile's folder with --profile."


@dataclass(frozen=True)
class Profile:
    """One profile.

    Attributes
    ----------
    path : Path
        Its folder.
    gis : str
        The generation it belongs to, as its settings file is called: ``QGIS3``.
    boxed : bool
        Whether that GIS runs in a box of its own and cannot start other programs.
    """

    path: Path
    gis: str = GENERATIONS[0]
    boxed: bool = False

    @property
    def name(self) -> str:
        """The profile's name, as the GIS shows it."""
        return self.path.name

    @property
    def folder(self) -> Path:
        """Where our plugin is, or will be."""
        return self.path / "python" / "plugins" / PACKAGE

    @property
    def settings(self) -> Path:
        """The file that says which plugins are switched on."""
        return self.path / "QGIS" / f"{self.gis}.ini"


def found() -> list[Profile]:
    """Return every profile there is, by place and name.

    Raises
    ------
    InputRefused
        When a folder of profiles cannot be listed.
    """
    every = [
        Profile(each, gis, boxed=boxed) for root, gis, boxed in _roots() for each in _below(root)
    ]
    # The environment may name the usual folder once more.
    return list({each.path.resolve(): each for each in reversed(every)}.values())[::-1]


def chosen(given: str) -> Profile:
    """Return the profile that is meant.

    Parameters
    ----------
    given : str
        Name or folder of a profile; empty for the one called ``default``, else the only one.

    Raises
    ------
    InputRefused
        When there is none, or more than one may be meant.
    """
    if given and (os.sep in given or (os.altsep or os.sep) in given or given in {".", ".."}):
        return _at(Path(given))
    there = found()
    if given:
        meant = [each for each in there if each.name == given]
    else:
        usable = [each for each in there if not each.boxed]
        meant = [each for each in usable if each.name == USUAL] or usable
    if len(meant) == 1:
        return meant[0]
    raise _not_one(meant, there, given)


def looked_in() -> list[str]:
    """Return the folders below which profiles are looked for."""
    return list(dict.fromkeys(str(root.parents[1]) for root, _, _ in _roots()))


def _roots() -> list[tuple[Path, str, bool]]:
    """Return each folder of profiles, the generation, and whether it belongs to a boxed GIS."""
    return [
        *((folder / PROFILES, GENERATIONS[0], False) for folder in _custom(os.environ)),
        *(
            (folder / gis / PROFILES, gis, boxed)
            for folder, boxed in _data_folders(os.environ, sys.platform)
            for gis in GENERATIONS
        ),
    ]


def _custom(environment: Mapping[str, str]) -> list[Path]:
    return [Path(environment[CUSTOM])] if environment.get(CUSTOM) else []


def _data_folders(environment: Mapping[str, str], system: str) -> list[tuple[Path, bool]]:
    if system == "win32":
        roaming = environment.get("APPDATA")
        return [((Path(roaming) if roaming else _home() / "AppData" / "Roaming") / "QGIS", False)]
    if system == "darwin":
        return [(_home() / "Library" / "Application Support" / "QGIS", False)]
    data = Path(environment.get("XDG_DATA_HOME", ""))  # a relative one does not count
    usual = data if data.is_absolute() else _home() / ".local" / "share"
    return [(usual / "QGIS", False), (_home() / FLATPAK, True)]


def _home() -> Path:
    try:
        return Path.home()
    except RuntimeError as error:
        raise InputRefused(
            "the system does not say where your home folder is",
            remedy="Set HOME, or give the profile's folder with --profile.",
        ) from error


def _below(root: Path) -> list[Path]:
    try:
        return sorted(each for each in root.iterdir() if each.is_dir())
    except (FileNotFoundError, NotADirectoryError):
        return []
    except OSError as error:
        raise InputRefused(
            f"the profiles of the GIS cannot be listed ({error.strerror})",
            file=root.name,
            remedy="Ask for the right to read that folder, or give one with --profile.",
        ) from error


def _at(path: Path) -> Profile:
    """Return the profile in a folder that was named."""
    path = Path(os.path.abspath(path))  # noqa: PTH100 - a link is left as it is, ".." is not
    if not os.path.isdir(path):  # noqa: PTH112 - never raises, whatever the name
        raise InputRefused(
            "is not a folder",
            file=path.name,
            remedy="A profile is not made here. " + START,
        )
    above = path.parent
    if path.name == PROFILES and above.name in GENERATIONS:
        raise InputRefused(
            "is the folder of all profiles", file=path.name, remedy="Name one of those in it."
        )
    if above.name == PROFILES and above.parent.name in GENERATIONS:
        return Profile(path, above.parent.name, boxed=path.is_relative_to(_box()))
    kept = [gis for gis in GENERATIONS if os.path.lexists(Profile(path, gis).settings)]
    return Profile(path, kept[-1] if kept else GENERATIONS[0])


def _box() -> Path:
    try:
        return _home() / FLATPAK
    except InputRefused:
        return FLATPAK


def _not_one(meant: list[Profile], there: list[Profile], given: str) -> InputRefused:
    """Return the error for none or several profiles, with what there is to choose from."""
    names = ", ".join(f"{each.gis}: {each.name}" for each in there)
    if len(meant) > 1:
        called = f" called {given!r}" if given else ""
        return InputRefused(
            f"there are {len(meant)} profiles of the GIS{called} ({names})",
            remedy="Say which with --profile: its name, or its folder as lawnmap desktop status "
            "shows it.",
        )
    if there and given:
        return InputRefused(
            f"there is no profile {given!r} of the GIS, only {names}",
            remedy="Give one of these with --profile, or a folder, as ./NAME.",
        )
    if there:
        return InputRefused(
            "the only profiles are of a boxed GIS (Flatpak), which cannot start lawnmap",
            remedy="Install the GIS from your system or its makers, and start it once.",
        )
    return InputRefused(
        f"no profile of the GIS was found in {' or '.join(looked_in())}", remedy=START
    )
