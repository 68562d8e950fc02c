"""A real browser, and pages in it: opened from disk, with all that they asked for and complained of."""

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

NEEDED = "PASTECHECK_NEEDS_BROWSER"
"""Set where these tests must not be skipped, as in .ci/run."""
OPTIONS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


class Opened(NamedTuple):
    """A page, and what it did while it was open."""

    page: Page
    asked: list[str]
    """Addresses of all that it fetched."""
    said: list[str]
    """On the console, and errors of its script."""


Open = Callable[..., Opened]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        text = "no Chromium is installed; on Debian: apt-get install chromium"
        if os.environ.get(NEEDED):
            pytest.fail(text)
        pytest.skip(text)
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=path, args=list(OPTIONS))
        yield started
        started.close()


@pytest.fixture
def open_page(browser: Browser) -> Iterator[Open]:
    """Open a file in a window of its own; options are those of `Browser.new_context`."""
    contexts = []

    def open_page(file: Path, **options: Any) -> Opened:
        context = browser.new_context(**{"viewport": {"width": 1440, "height": 900}, **options})
        context.set_default_timeout(10_000)
        contexts.append(context)
        opened = Opened(context.new_page(), [], [])
        opened.page.on("request", lambda request: opened.asked.append(request.url))
        opened.page.on("console", lambda message: opened.said.append(message.text))
        opened.page.on("pageerror", lambda error: opened.said.append(str(error)))
        opened.page.goto(file.as_uri())
        return opened

    yield open_page
    for context in contexts:
        context.close()
