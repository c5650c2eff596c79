"""A browser without a network that writes down everything a page does."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest


class Opened(NamedTuple):
    """A page in the browser and what it did: requests, console lines, errors, dialogs."""

    page: Any
    requests: list[str]
    console: list[str]
    dialogs: list[str]


@pytest.fixture
def opened(chromium: Any, tmp_path: Path) -> Iterator[Callable[..., Opened]]:
    """Open bytes from disk, offline, and collect everything the page asks for or says."""
    contexts = []

    def open_page(data: bytes, *, width: int = 1280, height: int = 800, **options: Any) -> Opened:
        path = tmp_path / f"page{len(contexts)}.html"
        path.write_bytes(data)
        context = chromium.new_context(
            offline=True, viewport={"width": width, "height": height}, **options
        )
        contexts.append(context)
        page = context.new_page()
        seen = Opened(page, [], [], [])
        page.on("request", lambda request: seen.requests.append(request.url))
        page.on("console", lambda message: seen.console.append(message.text))
        page.on("pageerror", lambda error: seen.console.append(str(error)))
        page.on("dialog", lambda dialog: (seen.dialogs.append(dialog.message), dialog.dismiss()))
        page.goto(path.as_uri())
        return seen

    yield open_page
    for context in contexts:
        context.close()
