"""A place in memory for the fault loops: a failing disk is made by us, and a sync costs nothing."""

import os
import shutil
import tempfile
from pathlib import Path

import pytest

MEMORY = Path("/dev/shm")


@pytest.fixture(scope="module")
def memory():
    """Return a folder in memory where there is one, else on the disk."""
    usable = MEMORY.is_dir() and os.access(MEMORY, os.W_OK)
    path = Path(tempfile.mkdtemp(prefix="lawnmap-test-", dir=MEMORY if usable else None))
    yield path
    shutil.rmtree(path)


@pytest.fixture(scope="module")
def counted():
    """Return where the tests of a module count, by test and writer, for one figure of them all."""
    return {}
