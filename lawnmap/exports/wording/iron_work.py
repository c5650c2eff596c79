"""The operations that put iron down, in one place: a new form of it is forgotten nowhere."""

from __future__ import annotations

IRON = ("iron_liquid", "iron_soluble", "lawn_sand")
