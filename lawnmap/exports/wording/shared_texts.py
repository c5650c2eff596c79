"""Texts of the map's data kept once: ten lawns are told the same thing in the same words."""

from __future__ import annotations


class SharedTexts:
    """Collects texts; equal ones are kept once and named by their place."""

    def __init__(self) -> None:
        self._places: dict[str, int] = {}

    def place(self, text: str) -> int | None:
        """Return the place of a text; None when it is empty."""
        return self._places.setdefault(text, len(self._places)) if text else None

    def listed(self) -> list[str]:
        """Return the texts in the order of their places."""
        return list(self._places)
