"""A layer that is not what was meant is not proved, however little of it is wrong."""

import numpy as np
import pytest

from pastecheck.errors import PastecheckError
from pastecheck.limits import STANDARD
from pastecheck.openings import Openings
from pastecheck.trim.likeness import touched
from pastecheck.trim.proof import proved
from pastecheck.trim.writing import Header, difference_bound_mm2, written
from tests.drawn import cut

DISCS = ["%ADD11C,9*%", "D11*", *(f"X{20 * row}000000Y50000000D03*" for row in range(40))]
"""Curves, which rounding leaves much room for in all."""
LEADS = ["%TA.AperFunction,Material*%", "%ADD10R,0.3X1.5*%", "D10*", "%TO.C,U1*%", "%TO.N,GND*%", "X0Y0D03*",
         "%TO.C,U2*%", "X1000000Y0D03*", "%TD*%"]  # fmt: skip


def layer() -> Openings:
    return cut(*DISCS, *LEADS)


def prove(was: bytes, now: bytes) -> None:
    meant = layer()
    content = written(meant, Header("Paste,Top", ()))
    assert was in content
    proved(content.replace(was, now, 1), "out.gbr", meant, meant, STANDARD)


def test_what_was_meant_is_proved() -> None:
    prove(b"X0Y0D03*", b"X0Y0D03*")


@pytest.mark.parametrize(
    ("was", "now"),
    [
        (b"X0Y0D03*", b"X100Y0D03*"),  # by 0.1 um
        (b"X0Y0D03*", b"X50000Y0D03*"),
        (b"R,0.3X1.5*", b"R,0.3005X1.5*"),
        (b"R,0.3X1.5*", b"R,0.25X1.5*"),
    ],
)
def test_one_opening_moved_or_resized_is_not_hidden_by_what_all_others_may_be_off(
    was: bytes, now: bytes
) -> None:
    # 0.05 x 1.5, twice for what was moved, of two leads at most: 0.3 mm2; discs alone leave
    # 40 x pi 9 x 2e-4 = 0.226 mm2, and what is off by less was let through
    assert difference_bound_mm2(layer()) > 0.22
    with pytest.raises(PastecheckError, match="off by"):
        prove(was, now)


def test_an_opening_that_is_gone_or_new_is_told() -> None:
    with pytest.raises(PastecheckError, match="would be 41"):
        prove(b"X0Y0D03*\n", b"")
    with pytest.raises(PastecheckError, match="would be 43"):
        prove(b"X0Y0D03*", b"X0Y0D03*\nX5000000Y0D03*")


def test_a_lost_component_is_told() -> None:
    with pytest.raises(PastecheckError, match="another component"):
        prove(b"%TO.C,U2*%\n", b"")


@pytest.mark.parametrize("lost", [b"%TO.N,GND*%\n", b"%TA.AperFunction,Material*%\n"])
def test_a_lost_attribute_is_told(lost: bytes) -> None:
    with pytest.raises(PastecheckError, match="other attributes"):
        prove(lost, b"")


def test_what_is_drawn_twice_is_refused_though_its_area_is_right() -> None:
    with pytest.raises(PastecheckError, match="42 openings would be drawn as 43 things"):
        prove(b"X0Y0D03*", b"X0Y0D03*\nX0Y0D03*")
    # two that overlap within the outline of the one that was meant
    halves = b"%ADD99R,0.3X1.0*%\nD99*\nX0Y250000D03*\nX0Y-250000D03*\nD11*"
    with pytest.raises(PastecheckError, match="42 openings would be drawn as 43 things"):
        prove(b"X0Y0D03*", halves)


def test_openings_that_come_nearer_than_a_file_can_tell_touch_though_their_boxes_do_not() -> None:
    # squares of 1 mm, 50 nm and 1 um apart: what is within 0.1 um may be one when it is read again
    openings = cut("%ADD10R,1X1*%", "D10*", "X0Y0D03*", "X1000050Y0D03*", "X2001050Y0D03*")
    assert touched(openings, np.arange(1)).tolist() == [True, True, False]
