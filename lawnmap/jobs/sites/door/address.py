"""Tables that are no files: each lies at an address, and a plugin reads and writes there.

An address may hold a password. It goes to the plugin and nowhere else: what is said, kept and
written has :func:`shown`.
"""

from __future__ import annotations

import re

from lawnmap import plugins
from lawnmap.errors import UsageProblem
from lawnmap.files.admit import is_address, refuse_address

GROUP = "tables"
# Host and port, several of them, and a name. Anything else may be a piece of a password.
PLAIN = re.compile(
    r"(?P<scheme>[a-z][a-z0-9+.-]*://)(?:[^@/?#]*@)?"
    r"(?P<place>(?:[^@/?#:\[\]]|:[0-9]+|\[[0-9a-f:.]+\])*(?:/[^@?#]*)?)(?:\?[^@]*)?",
    re.IGNORECASE,
)


def scheme(text: str) -> str:
    """Return what stands before the ``://``."""
    return text.partition("://")[0].lower() if is_address(text) else ""


def plugin(text: str) -> plugins.Tables | None:
    """Return the plugin for an address; None when none that is installed is for it.

    Raises
    ------
    PluginProblem
        When there are two, or it will not load.
    """
    if scheme(text) not in plugins.available(GROUP):
        return None
    found: plugins.Tables = plugins.load(GROUP, scheme(text))
    return found


def shown(text: str) -> str:
    """Return an address without user, password and options."""
    found = PLAIN.fullmatch(text)
    return f"{found['scheme']}{found['place']}" if found else f"{scheme(text)}://…"


def sink(text: str) -> plugins.Tables:
    """Return the plugin that writes to an address.

    Raises
    ------
    InputRefused
        When no plugin is for it.
    UsageProblem
        When it is the path of a file.
    """
    found = plugin(text)
    if found is None:
        refuse_address(text)
        raise UsageProblem(
            "tables are put into what has an address",
            remedy="The files of a run go to the folder of -o.",
        )
    return found
