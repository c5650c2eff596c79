"""The steps of lawnmap in QGIS: a plugin that runs the ``lawnmap`` command."""

from __future__ import annotations

from typing import Any


def classFactory(iface: Any) -> Any:  # noqa: N802 - QGIS asks for it by this name
    """Return the plugin."""
    from .plugin import Plugin

    return Plugin(iface)
