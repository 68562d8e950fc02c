"""What counts as one opening, what as two, and what as none; worked out by hand."""

from math import acos, pi, sqrt

import pytest

from pastecheck.errors import NoOpeningsError
from pastecheck.measurements import Measurements
from pastecheck.source import DiagnosticLevel
from tests.drawn import FOIL, areas_mm2, codes_of, cut, places_um

SQUARE = ("%ADD10R,1X1*%", "D10*")
DISC = ("%ADD10C,1*%", "D10*")
SQUARE_AND_DISC = ("%ADD10R,1X1*%", "%ADD11C,0.5*%", "D10*")

EXACT = 1e-12
FLAT = 1e-6
"""Areas of flattened curves: equal-area chords, less what rounding to whole nanometres moves."""


# ------------------------------------------------------------------------------------------- one or several


def test_things_that_overlap_are_one_opening() -> None:
    # Squares half a side apart: 1.5 x 1.
    openings = cut(*SQUARE, "X0Y0D03*", "X500000Y0D03*")
    assert areas_mm2(openings) == pytest.approx([1.5], rel=EXACT)


def test_things_that_share_a_side_are_one_opening() -> None:
    openings = cut(*SQUARE, "X0Y0D03*", "X1000000Y0D03*")
    assert areas_mm2(openings) == pytest.approx([2.0], rel=EXACT)


def test_things_that_share_a_part_of_a_side_are_one_opening() -> None:
    openings = cut(*SQUARE, "X0Y0D03*", "X1000000Y900000D03*")
    assert areas_mm2(openings) == pytest.approx([2.0], rel=EXACT)


def test_things_two_nanometres_apart_are_two_openings() -> None:
    # Places are whole nanometres: less than two apart may be what rounding has left of a common side.
    openings = cut(*SQUARE, "X0Y0D03*", "X1000002Y0D03*")
    assert areas_mm2(openings) == pytest.approx([1.0, 1.0], rel=EXACT)


def test_a_row_of_things_that_abut_is_one_opening() -> None:
    openings = cut(*SQUARE, *(f"X{k}000000Y0D03*" for k in range(7)))
    assert areas_mm2(openings) == pytest.approx([7.0], rel=EXACT)


def test_squares_that_touch_at_a_corner_are_two_openings_with_a_web_of_0() -> None:
    openings = cut(*SQUARE, "X0Y0D03*", "X1000000Y1000000D03*")
    webs = Measurements(openings, FOIL).webs_within(0.1)
    assert areas_mm2(openings) == pytest.approx([1.0, 1.0], rel=EXACT)
    assert webs.gap_mm.tolist() == [0.0]


def test_a_curve_through_the_corner_where_squares_touch_does_not_join_them() -> None:
    # The disc lies over the right square and is tangent to the left one where the two touch, at (0.5, 0.5).
    drawn = ("X0Y0D03*", "X1000000Y1000000D03*", "D11*", "X500000Y750000D03*")
    openings = cut(*SQUARE_AND_DISC, *drawn)
    # Left of x = 0.5 half of the disc of 0.5 lies outside the squares.
    assert areas_mm2(openings) == pytest.approx([1.0, 1 + pi / 32], rel=FLAT)


def test_circles_that_are_tangent_are_two_openings_with_a_web_of_0() -> None:
    openings = cut("%ADD10C,0.4*%", "D10*", "X0Y0D03*", "X400000Y0D03*")
    webs = Measurements(openings, FOIL).webs_within(0.1)
    assert areas_mm2(openings) == pytest.approx([0.04 * pi] * 2, rel=EXACT)
    assert webs.gap_mm == pytest.approx([0.0], abs=1e-9)


def test_a_circle_that_is_tangent_to_a_square_stays_apart_from_it() -> None:
    # Centre 0.5 + 0.25 from the square's.
    openings = cut(*SQUARE_AND_DISC, "X0Y0D03*", "D11*", "X750000Y0D03*")
    assert sorted(areas_mm2(openings)) == pytest.approx([0.0625 * pi, 1.0], rel=EXACT)


def test_obrounds_that_touch_along_their_straight_sides_are_one_opening() -> None:
    # Two of 2 x 1: each 1 + pi / 4, touching along 1 mm.
    openings = cut("%ADD10O,2X1*%", "D10*", "X0Y0D03*", "X0Y1000000D03*")
    assert areas_mm2(openings) == pytest.approx([2 + pi / 2], rel=FLAT)


def test_something_far_off_joins_openings_only_where_it_reaches_both() -> None:
    # A bar of 3 x 0.2 from -1.5 to 1.5 lies over squares at -1 and 1 and misses the one at x = 3.
    openings = cut(
        "%ADD10R,1X1*%",
        "%ADD11R,3X0.2*%",
        "D10*",
        "X-1000000Y0D03*",
        "X1000000D03*",
        "X3000000D03*",
        "D11*",
        "X0D03*",
    )
    # Two squares and the bar's middle between -0.5 and 0.5, 1 x 0.2.
    assert sorted(areas_mm2(openings)) == pytest.approx([1.0, 2.2], rel=EXACT)


# ------------------------------------------------------------------------------------------- dark and clear


def test_what_is_cleared_after_it_was_drawn_is_gone() -> None:
    openings = cut(*SQUARE_AND_DISC, "X0Y0D03*", "%LPC*%", "D11*", "X0Y0D03*")
    assert areas_mm2(openings) == pytest.approx([1 - pi / 16], rel=FLAT)


def test_what_is_cleared_before_it_is_drawn_is_there() -> None:
    openings = cut(*SQUARE_AND_DISC, "%LPC*%", "D11*", "X0Y0D03*", "%LPD*%", "D10*", "X0Y0D03*")
    assert areas_mm2(openings) == pytest.approx([1.0], rel=EXACT)


def test_what_is_drawn_again_within_what_was_cleared_is_an_opening_of_its_own() -> None:
    # A square of 1, cleared to a frame by one of 0.8, with one of 0.5 in it: 1 - 0.64 and 0.25.
    squares = ("%ADD10R,1X1*%", "%ADD11R,0.8X0.8*%", "%ADD12R,0.5X0.5*%")
    drawn = ("D10*", "X0Y0D03*", "%LPC*%", "D11*", "X0Y0D03*", "%LPD*%", "D12*", "X0Y0D03*")
    assert sorted(areas_mm2(cut(*squares, *drawn))) == pytest.approx([0.25, 0.36], rel=EXACT)


def test_a_clear_bar_across_a_land_makes_panes() -> None:
    # 1 x 1 less a cross of bars 0.2 wide: four panes of 0.4 x 0.4.
    bars = ("%ADD10R,1X1*%", "%ADD11R,2X0.2*%", "%ADD12R,0.2X2*%")
    drawn = ("D10*", "X0Y0D03*", "%LPC*%", "D11*", "X0Y0D03*", "D12*", "X0Y0D03*")
    openings = cut(*bars, *drawn)
    assert areas_mm2(openings) == pytest.approx([0.16] * 4, rel=EXACT)
    assert places_um(openings) == [(-300, -300), (300, -300), (-300, 300), (300, 300)]


def test_a_clear_bar_across_tangent_circles_does_not_join_them() -> None:
    # Two of 1 mm that touch at (0.5, 0), cut by a bar from y = 0.35 to 0.55: each loses what lies above
    # y = 0.35, a segment of acos(0.7) r^2 - 0.35 root(0.25 - 0.35^2).
    bar = (
        "%ADD10C,1*%",
        "%ADD11R,3X0.2*%",
        "D10*",
        "X0Y0D03*",
        "X1000000D03*",
        "%LPC*%",
        "D11*",
        "X500000Y450000D03*",
    )
    segment = acos(0.7) * 0.25 - 0.35 * sqrt(0.25 - 0.35**2)
    openings = cut(*bar)
    assert areas_mm2(openings) == pytest.approx([pi / 4 - segment] * 2, rel=1e-5)
    # between flattened outlines now, each within 0.1 um of its circle
    assert Measurements(openings, FOIL).webs_within(0.1).gap_mm == pytest.approx([0.0], abs=2e-4)


def test_what_is_cleared_whole_is_no_opening() -> None:
    with pytest.raises(NoOpeningsError, match="nothing to cut"):
        cut(*SQUARE, "X0Y0D03*", "%LPC*%", "X0Y0D03*")


# ----------------------------------------------------------------------------------- what openings are told


def test_an_opening_belongs_to_the_line_that_draws_it_first() -> None:
    openings = cut(*SQUARE, "X0Y0D03*", "X500000Y0D03*")  # lines 5 and 6
    assert openings.line.tolist() == [5]


def test_an_opening_keeps_the_component_of_what_was_drawn() -> None:
    openings = cut(*SQUARE, "%TO.C,U1*%", "X0Y0D03*", "%TO.C,R2*%", "X3000000Y0D03*")
    assert [openings.labels[row] for row in openings.label.tolist()] == ["U1", "R2"]


def test_a_thing_without_component_that_joins_one_with_takes_its_label_and_no_warning() -> None:
    openings = cut(*SQUARE, "X0Y0D03*", "%TO.C,U1*%", "X500000Y0D03*")
    assert [openings.labels[row] for row in openings.label.tolist()] == ["U1"]
    assert "shared-opening" not in codes_of(openings)


def test_an_opening_that_joins_two_components_has_both_labels_and_is_told() -> None:
    openings = cut(*SQUARE, "%TO.C,U1*%", "X0Y0D03*", "%TO.C,R2*%", "X500000Y0D03*")
    (said,) = openings.diagnostics
    assert [openings.labels[row] for row in openings.label.tolist()] == ["R2+U1"]
    assert (said.code, said.level, said.span.line) == ("shared-opening", DiagnosticLevel.WARNING, 6)


def test_openings_are_sorted_by_row_then_column_whatever_the_order_in_the_file() -> None:
    openings = cut(*SQUARE, "X5000000Y0D03*", "X0Y5000000D03*", "X0Y0D03*", "X5000000Y5000000D03*")
    assert places_um(openings) == [(0, 0), (5000, 0), (0, 5000), (5000, 5000)]


def test_openings_of_a_row_that_differ_by_less_than_a_micrometre_are_sorted_by_column() -> None:
    # 0.3 um higher is the same row: an exporter's rounding does not shuffle it.
    openings = cut(*SQUARE, "X0Y300D03*", "X5000000Y0D03*")
    assert places_um(openings) == [(0, 0), (5000, 0)]


# --------------------------------------------------------------------------------- what is drawn in no sense


def test_what_is_drawn_twice_keeps_its_closed_form_and_is_told() -> None:
    openings = cut(*DISC, "X0Y0D03*", "X0Y0D03*")
    (said,) = openings.diagnostics
    assert openings.shapes.radius_mm[openings.shape].tolist() == [0.5]
    assert openings.shapes.tolerance_mm[openings.shape].tolist() == [0.0]
    assert areas_mm2(openings).tolist() == [pytest.approx(pi / 4, rel=EXACT)]
    assert (said.code, said.level, said.span.line) == ("drawn-twice", DiagnosticLevel.NOTE, 6)


def test_what_is_drawn_again_after_it_was_cleared_is_not_left_out_as_drawn_twice() -> None:
    openings = cut(*SQUARE, "X0Y0D03*", "%LPC*%", "X0Y0D03*", "%LPD*%", "X0Y0D03*")
    assert areas_mm2(openings) == pytest.approx([1.0], rel=EXACT)
    assert codes_of(openings) == ["drawn-in-pieces"]


def crumb(side_nm: int) -> tuple[str, ...]:
    """A square region away from everything else."""
    return (
        *("G36*", "X3000000Y0D02*", "G01*", f"X{3000000 + side_nm}D01*", f"Y{side_nm}D01*"),
        *("X3000000D01*", "Y0D01*", "G37*"),
    )


@pytest.mark.parametrize(
    ("drawn", "line", "why"),
    [
        (crumb(40_000), 9, "0.0016 mm2 is less than 0.002"),
        (("%ADD11R,1X0.015*%", "D11*", "X3000000Y0D03*"), 8, "0.015 mm is narrower than 0.02"),
        (("%ADD11C,0.001*%", "D11*", "X3000000Y0D03*"), 8, "0.001 mm is drawn where no paste goes"),
    ],
)
def test_a_sliver_is_left_out_and_told_with_its_line(drawn: tuple[str, ...], line: int, why: str) -> None:
    openings = cut(*SQUARE, "X0Y0D03*", *drawn)
    (said,) = openings.diagnostics
    assert len(openings) == 1, why
    assert (said.code, said.level, said.span.line) == ("sliver", DiagnosticLevel.WARNING, line)


@pytest.mark.parametrize(
    ("drawn", "why"),
    [
        (crumb(50_000), "0.0025 mm2 is more than 0.002"),
        (("%ADD11R,1X0.021*%", "D11*", "X3000000Y0D03*"), "0.021 mm is wider than 0.02"),
        (("%ADD11C,0.03*%", "D11*", "X3000000Y0D03*"), "a flash is no crumb: it is judged however small"),
    ],
)
def test_what_is_barely_no_sliver_stays_an_opening(drawn: tuple[str, ...], why: str) -> None:
    openings = cut(*SQUARE, "X0Y0D03*", *drawn)
    assert (len(openings), codes_of(openings)) == (2, []), why


def test_what_has_no_area_is_told_with_its_line() -> None:
    openings = cut("%ADD10R,1X1*%", "%ADD11C,0*%", "D10*", "X0Y0D03*", "D11*", "X3000000Y0D03*")
    (said,) = openings.diagnostics
    assert len(openings) == 1
    assert (said.code, said.level, said.span.line) == ("zero-size", DiagnosticLevel.WARNING, 8)


def test_a_layer_of_nothing_but_slivers_is_refused_with_what_was_drawn() -> None:
    with pytest.raises(NoOpeningsError) as caught:
        cut(*crumb(40_000))
    assert "1 sliver" in caught.value.hint
    assert "--everything" in caught.value.hint


def test_columns_are_locked() -> None:
    openings = cut(*SQUARE, "X0Y0D03*")
    with pytest.raises(ValueError, match="read-only"):
        openings.x_nm[0] = 1


# ------------------------------------------------------------------------- standard shapes, known again


ROUNDED = (
    "%AMRR*",
    *("21,1,1,0.4,0,0,0*", "21,1,0.8,0.6,0,0,0*"),
    *("1,1,0.2,-0.4,-0.2*", "1,1,0.2,0.4,-0.2*", "1,1,0.2,-0.4,0.2*", "1,1,0.2,0.4,0.2*%"),
    *("%ADD10RR*%", "D10*", "X0Y0D03*"),
)


@pytest.mark.parametrize(
    ("drawn", "area_mm2", "says"),
    [
        # A rounded rectangle of 1 x 0.6, corners 0.1: 0.6 - (4 - pi) 0.01.
        (
            ROUNDED,
            0.6 - (4 - pi) * 0.01,
            "a macro of rectangles and discs",
        ),
        # The outline of 0.8 x 0.3 with corners of 0.1, from the lower left counter-clockwise.
        (
            (
                *("G75*", "G36*", "X100000Y0D02*", "G01*", "X700000D01*", "G03X800000Y100000I0J100000D01*"),
                *("G01*", "Y200000D01*", "G03X700000Y300000I-100000J0D01*", "G01*", "X100000D01*"),
                *("G03X0Y200000I0J-100000D01*", "G01*", "Y100000D01*", "G03X100000Y0I100000J0D01*", "G37*"),
            ),
            0.24 - (4 - pi) * 0.01,
            "a region with arcs",
        ),
    ],
)
def test_a_rounded_rectangle_is_measured_in_closed_form_however_it_is_drawn(
    drawn: tuple[str, ...], area_mm2: float, says: str
) -> None:
    openings = cut(*drawn)
    assert openings.shapes.radius_mm[openings.shape] == pytest.approx([0.1], abs=1e-9), says
    assert areas_mm2(openings) == pytest.approx([area_mm2], rel=1e-9), says
