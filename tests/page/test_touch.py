"""A page in the hand: what fingers do, on the film and beside it."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.page.browsing import Open, expect
from tests.page.pages import made

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.slow

STEPS = 8
FREE = "Two fingers zoom; tap the film to move it with one."


class Hand:
    """Fingers on a page of one layer that is shown by a telephone; they begin in the middle of the film."""

    def __init__(self, page: "Page") -> None:
        self.page = page
        self._hand = page.context.new_cdp_session(page)

    def moves(self, begin: Sequence[tuple[float, float]], end: Sequence[tuple[float, float]]) -> None:
        """Fingers from some places to others, in pixels from the middle of the film."""
        box = self.page.locator(".view").bounding_box()
        assert box is not None
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        for step in range(STEPS + 1):
            share = step / STEPS
            points = [
                {"x": x + a + (c - a) * share, "y": y + b + (d - b) * share, "id": finger}
                for finger, ((a, b), (c, d)) in enumerate(zip(begin, end, strict=True))
            ]
            self._send("touchMove" if step else "touchStart", points)
            self.page.wait_for_timeout(16)
        self._send("touchEnd", [])
        self.page.wait_for_timeout(150)  # the page comes to rest

    def _send(self, kind: str, points: list[dict[str, float]]) -> None:
        self._hand.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    @property
    def scrolled(self) -> float:
        """How far the page is scrolled, in pixels."""
        found: float = self.page.evaluate("scrollY")
        return found

    @property
    def seen(self) -> tuple[float, ...]:
        """The part of the film that is seen."""
        box = self.page.locator("svg.drawing").get_attribute("viewBox") or ""
        return tuple(map(float, box.split()))


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory, fixtures: Path) -> Path:
    layer = fixtures / "boards" / "greenhouse-logger-a" / "greenhouse-logger-paste-top.gbr"
    return made(tmp_path_factory.mktemp("touch"), str(layer)).file


@pytest.fixture
def hand(file: Path, open_page: Open) -> Hand:
    options = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
    page = open_page(file, **options).page
    page.locator(".view").scroll_into_view_if_needed()
    page.evaluate("scrollBy(0, 100)")
    page.wait_for_timeout(300)
    return Hand(page)


def test_one_finger_scrolls_the_page_and_leaves_the_film_as_it_is(hand: Hand) -> None:
    seen, scrolled = hand.seen, hand.scrolled
    hand.moves([(0, 0)], [(0, -90)])
    assert hand.scrolled > scrolled + 50
    assert hand.seen == seen
    expect(hand.page.locator(".touch")).to_have_text(FREE)


def test_two_fingers_zoom_and_leave_the_page_where_it_is(hand: Hand) -> None:
    seen, scrolled = hand.seen, hand.scrolled
    hand.moves([(-50, 0), (50, 0)], [(-100, -20), (100, -20)])
    # from 100 to 200 pixels apart: twice as large
    assert hand.seen[2] == pytest.approx(seen[2] / 2, rel=0.05)
    assert hand.scrolled == scrolled


def test_a_film_that_was_tapped_is_moved_by_one_finger_until_the_page_beside_it_is_touched(
    hand: Hand,
) -> None:
    hand.moves([(0, 0)], [(0, 0)])
    expect(hand.page.locator(".touch")).to_have_text(
        "One finger moves the film now; touch the page beside it to scroll on."
    )
    seen, scrolled = hand.seen, hand.scrolled
    hand.moves([(0, 0)], [(40, -60)])
    view = hand.page.locator(".view").bounding_box()
    assert view is not None
    per_pixel = seen[2] / view["width"]
    assert hand.seen[0] - seen[0] == pytest.approx(-40 * per_pixel, rel=0.02)
    assert hand.seen[1] - seen[1] == pytest.approx(60 * per_pixel, rel=0.02)
    assert hand.scrolled == scrolled
    above = -view["height"] / 2 - 120  # beyond the buttons
    hand.moves([(0, above)], [(0, above)])
    expect(hand.page.locator(".touch")).to_have_text(FREE)
    seen = hand.seen
    hand.moves([(0, 0)], [(0, -90)])
    assert hand.scrolled > scrolled + 50
    assert hand.seen == seen


def test_a_film_seen_whole_again_is_given_back(hand: Hand) -> None:
    hand.moves([(-50, 0), (50, 0)], [(-100, 0), (100, 0)])
    assert hand.page.locator(".touch").inner_text() != FREE
    hand.page.get_by_role("button", name="Fit").tap()
    expect(hand.page.locator(".touch")).to_have_text(FREE)


def test_who_has_a_mouse_is_told_of_keys_and_not_of_fingers(file: Path, open_page: Open) -> None:
    page = open_page(file).page
    expect(page.locator(".keys")).to_be_visible()
    expect(page.locator(".touch")).to_be_hidden()
