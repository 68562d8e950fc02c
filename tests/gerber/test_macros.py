"""Aperture macros: expressions, the marks of each primitive, and what makes no sense."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.drawing import Mark
from pastecheck.errors import GerberSyntaxError, GerberUnsupportedError
from pastecheck.gerber.expressions import ApertureError, expression
from pastecheck.gerber.macros import macro
from pastecheck.limits import STANDARD
from tests.gerber.layers import corners, marks, read

VALUES = [0.0, 4.0, 2.0, 0.5] + [0.0] * 996
"""$1 is 4, $2 is 2, $3 is 0.5, the others were never given."""


def drawn(*body: str, parameters: tuple[float, ...] = (), mm_per_unit: float = 1.0) -> list[Mark]:
    """The marks of a macro, whatever primitive they are of."""
    primitives = macro("M", body).primitives(parameters, mm_per_unit)
    return [mark for primitive in primitives for mark in primitive.marks]


# ------------------------------------------------------------------------------------------ expressions


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1.5", 1.5),
        (".5", 0.5),
        ("5.", 5.0),
        ("$1", 4.0),
        ("$0001", 4.0),
        ("$7", 0.0),  # never given
        ("1+2x3", 7.0),  # x binds closer
        ("1+2X3", 7.0),  # X is x
        ("8-2-1", 5.0),  # from the left: (8 - 2) - 1
        ("8/2/2", 2.0),  # from the left: (8 / 2) / 2
        ("8/2x4", 16.0),  # from the left: (8 / 2) x 4
        ("(1+2)x3", 9.0),
        ("((((1))))", 1.0),
        ("-2+5", 3.0),  # a sign binds closest: (-2) + 5
        ("-2x-3", 6.0),
        ("+2", 2.0),
        ("--2", 2.0),
        ("5-+2", 3.0),
        ("-(1+2)", -3.0),
        ("$1/2-0.1x(3+$2)", 1.5),  # 2 - 0.1 x 5
        ("$3x$1-$2", 0.0),
    ],
)
def test_an_expression_has_the_value_worked_out_by_hand(text: str, value: float) -> None:
    assert expression(text)(VALUES) == pytest.approx(value, abs=1e-15)


@pytest.mark.parametrize(
    "text",
    [
        "", "+", "1+", "x2", "1x", "(", ")", "()", "(1", "1)", "1 2", "1..2", "$", "$x", "a", "1e3", "2^3",
        "1,2", "(1+2]", "1$2", "(" * 51 + "1" + ")" * 51, "-" * 60 + "1", "1" + "+1" * 300,
    ],
)  # fmt: skip
def test_what_is_no_expression_is_refused(text: str) -> None:
    with pytest.raises(ApertureError):
        expression(text)


@pytest.mark.parametrize("text", ["$0", "$1000", "$99999999999999999999"])
def test_a_variable_out_of_range_is_refused(text: str) -> None:
    with pytest.raises(ApertureError, match="no macro variable"):
        expression(text)


def test_division_by_zero_is_refused_when_it_happens() -> None:
    quotient = expression("1/($1-4)")
    with pytest.raises(ApertureError, match="division by zero"):
        quotient(VALUES)
    assert quotient([0.0, 5.0]) == 1.0


@given(st.lists(st.tuples(st.sampled_from("+-"), st.integers(0, 999)), min_size=1, max_size=20))
def test_sums_are_those_of_whole_numbers(terms: list[tuple[str, int]]) -> None:
    text = "".join(f"{sign}{number}" for sign, number in terms)
    assert expression(text)(VALUES) == sum(int(f"{sign}{number}") for sign, number in terms)


# -------------------------------------------------------------------------------------------- variables


def test_an_assignment_holds_for_what_follows_it() -> None:
    # the first circle has $1 = 1, the second one $1 = 1 x 2 + 1
    one, other = drawn("1,1,$1,0,0", "$1=$1x2+1", "1,1,$1,0,0", parameters=(1.0,))
    assert (one.radius_mm, other.radius_mm) == (0.5, 1.5)


def test_each_aperture_of_a_macro_begins_with_its_own_parameters() -> None:
    compiled = macro("M", ("1,1,$1,$2,0", "$2=9"))
    compiled.primitives((1.0, 5.0), 1.0)
    ((mark,),) = (primitive.marks for primitive in compiled.primitives((1.0,), 1.0))
    assert corners(mark) == [(0.0, 0.0)]


def test_lengths_are_in_the_unit_of_the_file_and_angles_are_not() -> None:
    # 1 inch to the right, turned by 90 degrees: 25.4 mm upwards
    (mark,) = drawn("1,1,0.1,1,0,90", mm_per_unit=25.4)
    assert mark.radius_mm == pytest.approx(1.27)
    assert corners(mark) == [(0.0, 25.4)]


def test_comments_and_empty_statements_draw_nothing() -> None:
    assert drawn("0 1,1,1,0,0", "0", "") == []


# ------------------------------------------------------------------------------------------- primitives


def test_a_circle_turns_about_the_origin_of_the_macro() -> None:
    (mark,) = drawn("1,1,2,3,0,90")
    assert (corners(mark), mark.radius_mm, mark.adds) == ([(0.0, 3.0)], 1.0, True)


@pytest.mark.parametrize("code", [2, 20])
def test_a_vector_line_has_square_ends_at_its_points(code: int) -> None:
    # from (1, 0) to (3, 0), 1 mm wide: y from -0.5 to 0.5
    (mark,) = drawn(f"{code},1,1,1,0,3,0,0")
    assert corners(mark) == [(1.0, -0.5), (3.0, -0.5), (3.0, 0.5), (1.0, 0.5)]
    assert mark.radius_mm == 0


def test_a_centre_line_lies_about_its_centre() -> None:
    (mark,) = drawn("21,1,2,1,5,5,0")
    assert corners(mark) == [(4.0, 4.5), (6.0, 4.5), (6.0, 5.5), (4.0, 5.5)]


def test_a_lower_left_line_lies_right_and_above_of_its_corner() -> None:
    (mark,) = drawn("22,1,2,1,5,5,0")
    assert corners(mark) == [(5.0, 5.0), (7.0, 5.0), (7.0, 6.0), (5.0, 6.0)]


def test_an_outline_has_the_corners_it_is_given_turned_about_the_origin() -> None:
    # 90 degrees: (x, y) to (-y, x)
    (mark,) = drawn("4,1,3,0,0,2,0,2,1,0,0,90")
    assert corners(mark) == [(0.0, 0.0), (0.0, 2.0), (-1.0, 2.0)]


def test_an_outline_may_end_beside_its_beginning_by_the_last_digit() -> None:
    (mark,) = drawn("4,1,3,0,0,2,0,2,1,0.000001,0,0")
    assert len(corners(mark)) == 3


def test_a_polygon_has_its_first_corner_to_the_right_of_its_centre() -> None:
    # a square in a circle of 2 mm about (1, 0), before it is turned: (2, 0), (1, 1), (0, 0), (1, -1)
    (mark,) = drawn("5,1,4,1,0,2,0")
    assert corners(mark) == [(2.0, 0.0), (1.0, 1.0), (0.0, 0.0), (1.0, -1.0)]


def test_a_moire_is_rings_from_outside_in_and_a_cross() -> None:
    # rings of 0.1 mm with gaps of 0.1 mm from 1 mm: outer diameters 1, 0.6 and 0.2, the last one a disc;
    # a fourth ring does not fit
    marks = drawn("6,0,0,1,0.1,0.1,4,0.05,2,0")
    assert [round(mark.radius_mm, 9) for mark in marks] == [0.5, 0.4, 0.3, 0.2, 0.1, 0.0, 0.0]
    assert [mark.adds for mark in marks] == [True, False, True, False, True, True, True]
    assert corners(marks[5]) == [(-1.0, -0.025), (1.0, -0.025), (1.0, 0.025), (-1.0, 0.025)]
    assert corners(marks[6]) == [(-0.025, -1.0), (0.025, -1.0), (0.025, 1.0), (-0.025, 1.0)]


@pytest.mark.parametrize("cross", ["0,2", "0.1,0"])
def test_a_moire_may_have_no_cross(cross: str) -> None:
    assert len(drawn(f"6,0,0,1,0.1,0.1,1,{cross},0")) == 2


def test_a_moire_of_no_thickness_has_only_its_cross() -> None:
    assert len(drawn("6,0,0,1,0,0.1,3,0.1,2,0")) == 2


@pytest.mark.parametrize(
    ("inner_and_gap", "adds"),
    [
        ("1,0.2", [True, False, False, False]),
        ("0,0.2", [True, False, False]),  # no hole
        ("1,0", [True, False]),  # a whole ring
    ],
)
def test_a_thermal_is_a_disc_less_a_disc_and_a_cross(inner_and_gap: str, adds: list[bool]) -> None:
    assert [mark.adds for mark in drawn(f"7,0,0,2,{inner_and_gap},0")] == adds


@pytest.mark.parametrize(
    "body",
    ["1,1,0,0,0", "20,1,0,0,0,1,0,0", "20,1,1,2,2,2,2,0", "21,1,0,1,0,0,0", "22,1,1,0,0,0,0", "5,1,4,0,0,0,0",
     "4,1,2,0,0,1,1,0,0,0"],
)  # fmt: skip
def test_a_primitive_without_size_draws_nothing(body: str) -> None:
    assert drawn(body) == []


def test_exposure_says_whether_a_primitive_adds_and_may_be_worked_out() -> None:
    on, off = macro("M", ("1,$1,1,0,0", "1,1-$1,1,0,0")).primitives((1.0,), 1.0)
    assert (on.adds, off.adds) == (True, False)


@given(st.floats(-720, 720), st.floats(-5, 5), st.floats(-5, 5))
def test_turning_keeps_the_distance_from_the_origin(degrees: float, x: float, y: float) -> None:
    (mark,) = drawn("1,1,1,$1,$2,$3", parameters=(x, y, degrees))
    assert float(np.hypot(*mark.core_mm[0])) == pytest.approx(math.hypot(x, y), abs=1e-12)


EVERY = {
    1: "1,1,0.5,2,1", 2: "2,1,0.2,0,0,1,2", 20: "20,1,0.2,0,0,1,2", 21: "21,1,2,1,3,4", 22: "22,1,2,1,3,4",
    4: "4,1,3,0,0,2,0,2,1,0,0", 5: "5,1,5,1,2,3", 6: "6,1,2,1,0.1,0.1,2,0.05,2", 7: "7,1,2,2,1,0.3",
}  # fmt: skip
"""Each primitive away from the origin of its macro, without its last value, the rotation."""


@pytest.mark.parametrize("code", EVERY)
def test_each_primitive_turns_as_a_whole_about_the_origin_counter_clockwise(code: int) -> None:
    # a quarter turn takes (x, y) to (-y, x)
    for before, after in zip(drawn(EVERY[code] + ",0"), drawn(EVERY[code] + ",90"), strict=True):
        assert np.column_stack([-before.core_mm[:, 1], before.core_mm[:, 0]]) == pytest.approx(after.core_mm)
        assert (before.radius_mm, before.adds) == (after.radius_mm, after.adds)


@pytest.mark.parametrize("code", [code for code in EVERY if code not in (6, 7)])
def test_each_primitive_with_an_exposure_cuts_where_it_is_off(code: int) -> None:
    body = EVERY[code].replace(f"{code},1,", f"{code},$1,", 1) + ",0"
    (on,), (off,) = (macro("M", [body]).primitives((exposure,), 1.0) for exposure in (1.0, 0.0))
    assert (on.adds, off.adds) == (True, False)
    assert [corners(mark) for mark in on.marks] == [corners(mark) for mark in off.marks]


@pytest.mark.parametrize("code", EVERY)
def test_each_primitive_is_in_the_unit_of_the_file_but_for_angles_and_numbers(code: int) -> None:
    for mm, inches in zip(
        drawn(EVERY[code] + ",30"), drawn(EVERY[code] + ",30", mm_per_unit=25.4), strict=True
    ):
        assert inches.core_mm == pytest.approx(25.4 * mm.core_mm)
        assert inches.radius_mm == pytest.approx(25.4 * mm.radius_mm)


@pytest.mark.parametrize(
    "body",
    ["20,1,1,0,0,1,0", "2,1,1,0,0,1,0", "21,1,2,1,0,0", "22,1,2,1,0,0", "4,1,3,0,0,1,0,0,1,0,0",
     "5,1,4,0,0,1", "6,0,0,1,0.1,0.1,2,0.1,1", "7,0,0,2,1,0.2", "4,1,2,0,0,1,1,0,0"],
)  # fmt: skip
def test_a_primitive_without_its_rotation_is_not_turned_and_that_is_seen(body: str) -> None:
    lacking, whole = macro("M", [body]), macro("M", [f"{body},0"])
    assert (lacking.lacks_rotations, whole.lacks_rotations) == (True, False)
    assert [corners(mark) for mark in drawn(body)] == [corners(mark) for mark in drawn(f"{body},0")]


def test_a_circle_needs_no_rotation() -> None:
    assert not macro("M", ["1,1,1,0,0"]).lacks_rotations


def test_a_code_may_have_leading_zeros_and_a_comment_may_not_go_on_with_a_digit() -> None:
    drawing = read("%AMM*", "01,1,1,0,0*", "0 1,1,9,0,0*", "0a comment*", "0,x*", "0*", "021,1,2,1,5,0,0*%",
                   "%ADD10M*%", "D10*", "X0Y0D03*")  # fmt: skip
    assert [len(mark.core_mm) for mark in marks(drawing)] == [1, 4]


def test_a_macro_may_share_its_block_with_the_apertures_of_old_files() -> None:
    drawing = read(
        "%AMM*", "1,1,$1,0,0*", "ADD10M,2*", "AMN*1,1,3,0,0*", "ADD11N*%", "D10*", "X0Y0D03*", "D11*", "D03*"
    )
    assert [mark.radius_mm for row in (0, 1) for mark in marks(drawing, row)] == [1, 1.5]


# ---------------------------------------------------------------------------------------------- refusals


@pytest.mark.parametrize(
    ("body", "why"),
    [
        ("1,2,1,0,0", "exposure 2"),
        ("1,0.5,1,0,0", "exposure 0.5"),
        ("1,-1,1,0,0", "exposure -1"),
        ("1,1,1,0", "3 values and needs 4|has 3 values"),
        ("1,1,-1,0,0", "negative diameter"),
        ("20,1,1,0,0,1", "needs 6"),
        ("20,1,-1,0,0,1,0,0", "negative width"),
        ("21,1,1,-1,0,0,0", "negative side"),
        ("22,1,-1,1,0,0,0", "negative side"),
        ("4,1,3,0,0,1,0,0,1,0", "an outline of 3 sides"),
        ("4,1,3,0,0,1,0,0,1,0,0,0,0", "an outline of 3 sides"),
        ("4,1,3,0,0,1,0,0,1,1,0", "does not end where it began"),  # no rotation, and not closed
        ("4,1,0,0,0,0,0,0,0", "needs 9|an outline of 0 sides"),
        ("4,1,2.5,0,0,1,0,0,1,0,0,0", "2.5 sides"),
        ("4,1,3,0,0,1,0,0,1,0,1,0", "does not end where it began"),
        ("5,1,2,0,0,1,0", "2 corners"),
        ("5,1,4.5,0,0,1,0", "4.5 corners"),
        ("5,1,361,0,0,1,0", "361 corners"),
        ("5,1,4,0,0,-1,0", "negative diameter"),
        ("6,0,0,1,0.1,0.1,1.5,0.1,1,0", "1.5 rings"),
        ("6,0,0,1,0.1,0.1,101,0.1,1,0", "101 rings"),
        ("6,0,0,1,0.1,-0.1,1,0.1,1,0", "negative size"),
        ("7,0,0,1,1,0.1,0", "do not fit"),
        ("7,0,0,1,-0.5,0.1,0", "do not fit"),
        ("7,0,0,1,0.5,0.8,0", "do not fit"),
        ("1,1,1/0,0,0", "division by zero"),
        ("1,1," + "9" * 200 + "x" + "9" * 200 + ",0,0", "no finite number|a value beyond"),
        ("3,1,1,0,0", "no primitive"),
        ("99,1", "no primitive"),
        ("00015,1,1,0,0", "no primitive"),
        ("012 text", "no primitive"),
        ("x,1", "no primitive"),
        ("$0=1", "no macro variable"),
        ("$a=1", "no macro variable"),
        ("$1", "cannot read"),
    ],
)
def test_what_makes_no_sense_is_refused_with_its_reason(body: str, why: str) -> None:
    with pytest.raises(ApertureError, match=why):
        drawn(body)


def test_a_macro_with_too_many_parameters_is_refused() -> None:
    with pytest.raises(ApertureError, match="1000 parameters"):
        macro("M", ["0"]).primitives([0.0] * 1000, 1.0)


def test_what_is_wrong_in_a_macro_is_told_where_the_macro_stands() -> None:
    with pytest.raises(GerberSyntaxError) as caught:
        read("%AMM*", "1,1,1+,0,0*%")
    assert (caught.value.code, caught.value.span.line) == ("bad-aperture", 3)


def test_what_is_wrong_with_values_is_told_where_the_aperture_is_defined() -> None:
    with pytest.raises(GerberSyntaxError) as caught:
        read("%AMM*", "1,$1,1,0,0*%", "%ADD10M,5*%", "D10*", "X0Y0D03*")
    assert (caught.value.code, caught.value.span.line) == ("bad-aperture", 5)


def test_an_aperture_that_is_never_used_may_make_no_sense() -> None:
    drawing = read("%AMM*", "1,$1,1,0,0*%", "%ADD10M,5*%", "%ADD11C,1*%", "D11*", "X0Y0D03*")
    assert len(drawing.apertures) == 1


@pytest.mark.parametrize(
    ("body", "extra"), [("1,1,1,0,0,0", False), ("1,1,1,0,0,0,0", True), ("$1=1", False)]
)
def test_values_that_a_primitive_does_not_know_are_seen(body: str, *, extra: bool) -> None:
    assert macro("M", [body]).has_extra_values == extra


def test_a_macro_of_more_statements_than_the_limit_is_refused_and_the_limit_can_be_raised() -> None:
    two = STANDARD.raised("macro-statements", 2)
    lines = ("%AMM*1,1,1,0,0*1,1,1,2,0*1,1,1,4,0*%", "%ADD11M*%", "D11*", "X0Y0D03*")
    with pytest.raises(GerberUnsupportedError) as caught:
        read(*lines, limits=two)
    assert caught.value.code == "too-large"
    assert "--limit macro-statements=3" in caught.value.hint
    assert len(read(*lines, limits=two.raised("macro-statements", 3))) == 1
