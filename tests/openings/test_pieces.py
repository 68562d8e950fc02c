"""What is painted or drawn in pieces is one opening each, told once where a cutter would cut it in pieces."""

from math import pi

import pytest

from pastecheck.openings import Openings
from pastecheck.source import DiagnosticLevel
from tests.drawn import areas_mm2, codes_of, cut, cut_text

SQUARE = ("%ADD10R,1X1*%", "D10*")
PEN = ("%ADD10C,0.1*%", "D10*", "G01*")


def region(x_nm: int, y_nm: int, width_nm: int, height_nm: int) -> tuple[str, ...]:
    """A rectangle about its lower left corner."""
    return (
        *("G36*", f"X{x_nm}Y{y_nm}D02*", "G01*", f"X{x_nm + width_nm}D01*", f"Y{y_nm + height_nm}D01*"),
        *(f"X{x_nm}D01*", f"Y{y_nm}D01*", "G37*"),
    )


def stroke(y_nm: int, length_nm: int = 1_000_000) -> tuple[str, ...]:
    return (f"X0Y{y_nm}D02*", f"X{length_nm}Y{y_nm}D01*")


def inch_slices(*edges: tuple[int, int]) -> Openings:
    """Slices 0.0400 in wide, from one height to another in steps of 0.0001 in."""
    slices = [
        f"G36*\nX0Y{low}D02*\nG01*\nX400D01*\nY{high}D01*\nX0D01*\nY{low}D01*\nG37*" for low, high in edges
    ]
    return cut_text("\n".join(["%FSLAX24Y24*%", "%MOIN*%", *slices, "M02*", ""]))


def test_strokes_that_lie_side_by_side_are_one_opening() -> None:
    # 11 strokes of 0.1 mm, 0.1 mm apart: they abut along their straight sides. 11 obrounds of 1 x 0.1 mm.
    openings = cut(*PEN, *(line for k in range(11) for line in stroke(100_000 * k)))
    assert areas_mm2(openings) == pytest.approx([11 * (0.1 + pi * 0.0025)], rel=1e-5)


def test_strokes_a_nanometre_apart_are_one_opening_by_the_rounding_of_places() -> None:
    openings = cut(*PEN, *(line for k in range(3) for line in stroke(100_001 * k)))
    assert len(openings) == 1


@pytest.mark.parametrize("steps", [3999, 4001, 4123])
def test_what_abuts_in_millionths_of_an_inch_is_one_opening(steps: int) -> None:
    # One step is 25.4 nm, so most places are rounded, and sides lie up to a nanometre apart.
    flashes = [f"X0Y{k * steps}D03*" for k in range(12)]
    aperture = f"%ADD10R,0.04X{steps / 1e6:.6f}*%"
    openings = cut_text("\n".join(["%FSLAX26Y26*%", "%MOIN*%", aperture, "D10*", *flashes, "M02*", ""]))
    # 1.016 mm x 12 x steps x 25.4 nm, within 2 nm along its sides
    assert areas_mm2(openings) == pytest.approx([1.016 * 12 * steps * 25.4e-6], rel=1e-5)


def test_strokes_two_nanometres_apart_are_openings_of_their_own() -> None:
    openings = cut(*PEN, *(line for k in range(3) for line in stroke(100_002 * k)))
    assert len(openings) == 3


def test_slices_of_a_land_that_abut_in_an_inch_file_are_one_opening() -> None:
    openings = inch_slices((0, 131), (131, 262), (262, 393))
    # 1.016 mm x 393 x 2.54 um
    assert areas_mm2(openings) == pytest.approx([1.016 * 0.99822], rel=1e-9)


def test_slices_a_step_of_the_file_apart_stay_apart_as_both_references_have_them() -> None:
    # A step may be rounding or meant: the web of 2.54 um is found and judged, not closed in silence.
    openings = inch_slices((0, 131), (132, 262))
    assert areas_mm2(openings) == pytest.approx([1.016 * 0.33274, 1.016 * 0.33020], rel=1e-9)


def test_a_flash_and_a_region_of_one_outline_are_one_opening_in_two_pieces() -> None:
    openings = cut(*SQUARE, "X500000Y500000D03*", *region(0, 0, 1_000_000, 1_000_000))
    (said,) = openings.diagnostics
    assert areas_mm2(openings) == pytest.approx([1.0])
    assert (said.code, said.level, said.span.line) == ("drawn-in-pieces", DiagnosticLevel.NOTE, 5)
    assert said.text == (
        "1 opening drawn in 2 pieces that overlap or abut, merged here into one outline each: "
        "a cutter that follows the file cuts film twice or across there; drawn at line 5"
    )


def test_openings_in_pieces_are_told_once_with_their_number_and_their_first_lines() -> None:
    pairs = [f"X{3_000_000 * k + x}Y0D03*" for k in range(10) for x in (0, 500_000)]
    (said,) = cut(*SQUARE, *pairs).diagnostics
    assert said.text == (
        "10 openings drawn in 20 pieces that overlap or abut, merged here into one outline each: "
        "a cutter that follows the file cuts film twice or across there; "
        "drawn at lines 5, 7, 9, 11, 13, 15, 17, 19 and 2 more"
    )


@pytest.mark.parametrize(
    ("drawn", "codes"),
    [
        ((*SQUARE, "X0Y0D03*", "X0Y0D03*"), ["drawn-twice"]),
        ((*PEN, *stroke(0), *stroke(0)), ["drawn-twice"]),
        ((*region(0, 0, 10**6, 10**6), *region(0, 0, 10**6, 10**6)), ["drawn-twice"]),
        ((*SQUARE, "%TO.C,U1*%", "X0Y0D03*", "%TO.C,U2*%", "X500000D03*"), ["shared-opening"]),
        ((*SQUARE, "X0Y0D03*", "%LPC*%", "X500000D03*"), []),
        ((*SQUARE, "X0Y0D03*", "X0Y0D03*", "X500000D03*"), ["drawn-twice", "drawn-in-pieces"]),
    ],
)
def test_nothing_is_told_of_pieces_that_is_told_otherwise(drawn: tuple[str, ...], codes: list[str]) -> None:
    assert codes_of(cut(*drawn)) == codes


def test_pieces_of_what_is_left_out_are_not_told() -> None:
    frame = ("X5000000Y0D02*", "X9000000D01*", "Y4000000D01*", "X5000000D01*", "Y0D01*")
    openings = cut(*SQUARE, "X0Y0D03*", "%ADD11C,0.1*%", "D11*", "G01*", *frame)
    assert codes_of(openings) == ["thin-outline"]
