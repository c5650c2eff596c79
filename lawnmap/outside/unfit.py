"""What is said of something that a plugin gave."""

from __future__ import annotations


class Unfit(ValueError):
    """What a plugin gave is not what it is to give; the words end a sentence."""
