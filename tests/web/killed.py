"""A desk in a process of its own, to be killed: ``python -m tests.web.killed FOLDER``."""

import sys
from pathlib import Path

from lawnmap.store.folder import Folder
from tests.web.desks import open_page

if __name__ == "__main__":
    with open_page(Folder(Path(sys.argv[1]))) as page:
        print(page.server.door.port, page.server.door.token, flush=True)  # noqa: T201
        sys.stdin.read()
