"""What runs in the guarded child is measured with the rest, where coverage measures processes.

The child gets a clean environment; the two variables by which coverage is told to start in a new
process (its setting ``patch = subprocess``) are let through for the time of these tests.
"""

import pytest

from lawnmap.files import child

TOLD = ("COVERAGE_PROCESS_START", "COVERAGE_PROCESS_CONFIG")


@pytest.fixture(autouse=True, scope="session")
def measured_children():
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(child, "KEPT", (*child.KEPT, *TOLD))
        yield
