"""A real browser for tests: what it takes to start one, and what is expected of a page in it."""

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, NoReturn

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

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

    page: "Page"
    asked: list[str]
    """Addresses of all that it fetched."""
    said: list[str]
    """On the console, and errors of its script."""


Open = Callable[..., Opened]


def expect(locator: "Locator") -> Any:  # noqa: ANN401 -- their type is not exported
    """What is to become true of an element, soon."""
    from playwright.sync_api import expect

    return expect(locator)


@contextmanager
def started() -> "Iterator[Browser]":
    """Debian's Chromium; without it, or what drives it, tests are skipped, or fail if `NEEDED` is set."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        _do_without("no Chromium is installed; on Debian: apt-get install chromium")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        _do_without("the Python package playwright is not installed; pip install -e '.[test]'")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(OPTIONS))
        yield browser
        browser.close()


def _do_without(text: str) -> NoReturn:
    if os.environ.get(NEEDED):
        pytest.fail(text)
    pytest.skip(text)


@contextmanager
def opening(browser: "Browser") -> Iterator[Open]:
    """Open files in windows of their own; options are those of `Browser.new_context`."""
    contexts = []

    def open_page(file: Path, **options: Any) -> Opened:
        context = browser.new_context(**{"viewport": {"width": 1440, "height": 900}, **options})
        context.set_default_timeout(30_000)
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
