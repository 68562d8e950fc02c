"""One browser for all tests, and pages in it, opened from disk."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

from tests.page.browsing import Open, opening, started

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.fixture(scope="session")
def browser() -> "Iterator[Browser]":
    with started() as browser:
        yield browser


@pytest.fixture
def open_page(browser: "Browser") -> Iterator[Open]:
    """Pages that are closed after the test."""
    with opening(browser) as open_page:
        yield open_page


@pytest.fixture(scope="module")
def open_for_all(browser: "Browser") -> Iterator[Open]:
    """Pages that stay open for all tests of a module."""
    with opening(browser) as open_page:
        yield open_page
