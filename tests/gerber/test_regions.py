"""What may stand inside a region without harm, and what is told of ends without beginnings."""

import pytest

from pastecheck.errors import GerberSyntaxError
from tests.gerber.layers import areas, read

TRIANGLE = ("X0Y0D02*", "G01*", "X2000000D01*", "Y1000000D01*", "X0Y0D01*")
DISC = ("%ADD10C,1*%", "D10*")


@pytest.mark.parametrize(
    "inside",
    ["G04 a comment*", "%TO.C,U1*%", "%TD*%", "D10*", "%LPD*%", "%ADD11R,1X1*%", "%LR45*%", "%LMX*%", "G75*"],
)
def test_what_changes_no_contour_may_stand_in_a_region(inside: str) -> None:
    drawing = read(*DISC, "G36*", TRIANGLE[0], inside, *TRIANGLE[1:], "G37*")
    assert areas(drawing) == pytest.approx([1])
    assert drawing.diagnostics == ()


def test_a_region_needs_no_aperture() -> None:
    assert areas(read("G36*", *TRIANGLE, "G37*")) == pytest.approx([1])


def test_an_aperture_chosen_in_a_region_holds_behind_it() -> None:
    drawing = read("%ADD10C,1*%", "G36*", "D10*", *TRIANGLE, "G37*", "X9000000D03*")
    assert drawing.apertures[int(drawing.what[1])].number == 10


def test_a_region_that_holds_nothing_draws_nothing() -> None:
    assert len(read("G36*", "G37*", "G36*", "X0Y0D02*", "G37*")) == 0


def test_a_polarity_that_is_set_before_the_region_holds_for_it() -> None:
    # a disc of 1 mm2 less what the triangle covers is less; the drawing keeps both
    drawing = read(*DISC, "X0Y0D03*", "%LPC*%", "G36*", *TRIANGLE, "G37*", "%LPD*%")
    assert drawing.dark.tolist() == [True, False]


def test_each_end_of_a_region_that_was_not_begun_is_counted() -> None:
    (said,) = read("G37*", "G36*", *TRIANGLE, "G37*", "G37*").diagnostics
    assert (said.code, said.level, said.span.line) == ("no-region", "warning", 3)
    assert said.text.endswith("(2 times)")


def test_an_open_contour_is_answered_with_one_advice() -> None:
    square = ("X0Y0D02*", "X1000000D01*", "Y1000000D01*", "X0D01*")
    with pytest.raises(GerberSyntaxError) as error:
        read("G36*", *square, "X500000Y500000D01*", "G37*")
    assert error.value.hint == "close the outline where it is drawn, and export the layer again"
