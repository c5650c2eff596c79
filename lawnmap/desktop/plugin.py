"""The plugin: it puts the provider of our steps into the GIS, and takes it out again."""

from __future__ import annotations

from typing import Any

from qgis.core import QgsApplication

from .provider import Provider


class Plugin:
    """What the GIS starts and ends.

    Parameters
    ----------
    iface : QgisInterface or None
        The window; None where there is none.
    """

    def __init__(self, iface: Any = None) -> None:
        self._iface = iface
        self._provider: Provider | None = None

    def initProcessing(self) -> None:  # noqa: N802 - the GIS calls it by this name
        """Add the provider; called alone where there is no window."""
        if self._provider is None:
            self._provider = Provider()
            QgsApplication.processingRegistry().addProvider(self._provider)

    def initGui(self) -> None:  # noqa: N802
        """Begin in a window."""
        self.initProcessing()

    def unload(self) -> None:
        """Leave nothing behind."""
        if self._provider is not None:
            QgsApplication.processingRegistry().removeProvider(self._provider)
            self._provider = None
