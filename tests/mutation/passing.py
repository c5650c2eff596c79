"""A pytest plugin for mutants: a guarded child runs the mutant that its parent runs.

Children get a clean environment, in which mutmut would not find which mutant it is about.
"""

import os

WHICH = "MUTANT_UNDER_TEST"


def pytest_configure():
    from lawnmap.files import child

    if "__mutmut_" in os.environ.get(WHICH, ""):  # not while it only counts which tests call what
        child.KEPT = (*child.KEPT, WHICH)
