"""
Worked examples of The Gerber Layer Format Specification, Ucamco, revision 2023.08.

Section and page are named at each. Our table of worked examples gives inputs and results, not whole
listings: these were set up anew, some from memory; what is the specification's is the results. Left out: 2.11
example 2, the clear region with arcs (p.28), for its coordinates are not in the table; 4.3.3 (p.49) and
4.10.4.7 (p.102), for the specification's own text is inconsistent there.
"""

import math

import pytest

from pastecheck.drawing import Kind
from tests.gerber.layers import areas, contour, corners, flashes, marks, read, signed_area


@pytest.mark.parametrize(
    ("format_", "word", "mm"),
    [
        ("LAX36Y36", "X123123456", (123.123456, 0)),  # 4.2.2 p.47
        ("LAX36Y36", "Y23456", (0, 0.023456)),  # 4.2.2 p.47
        ("LAX26Y26", "X11000000", (11, 0)),  # 2.11 example 1 p.24
        ("TAX23Y23", "X15", (15, 0)),  # 8.2.1.1: trailing zeros left out
    ],
)
def test_coordinates_are_padded_by_the_format(format_: str, word: str, mm: tuple[float, float]) -> None:
    drawing = read("%ADD10C,1*%", "D10*", f"{word}D03*", head=(f"%FS{format_}*%", "%MOMM*%"))
    assert flashes(drawing) == [mm]


def test_coordinates_are_modal_and_arc_centres_are_not() -> None:
    # 4.8.1 p.82: of its chain of seven the table holds 1: X200Y200D02 moves to (200, 200); 4: Y200I50J50D01
    # plots to (200, 200) with offset (50, 50); 6: X+100I-50D01 plots to (100, 200) with offset (-50, 0);
    # 7: D03 flashes at (100, 200). The draw to (200, 100), from where 4 has a centre, is ours.
    drawing = read(
        "%ADD10C,1*%", "D10*", "X200Y200D02*", "Y100D01*", "G75*", "G02*", "Y200I50J50D01*", "X+100I-50D01*",
        "D03*",
        head=("%FSLAX60Y60*%", "%MOMM*%"),
    )  # fmt: skip
    assert flashes(drawing) == [(200, 200), (200, 100), (200, 200), (100, 200)]
    assert drawing.kind.tolist() == [Kind.STROKE] * 3 + [Kind.FLASH]
    assert (drawing.strokes.end_nm / 1e6).tolist() == [[0, -100], [0, 100], [-100, 0]]
    assert (drawing.strokes.centre_nm / 1e6).tolist() == [[0, 0], [50, 50], [-50, 0]]


def test_an_arc_that_ends_where_it_starts_is_a_full_circle_in_multi_quadrant_mode() -> None:
    # 4.7.2 p.78: from (0, 6) about (0, 6) + (5, 0), clockwise: the centre is (5, 6)
    drawing = read("%ADD10C,1*%", "D10*", "X0Y6000000D02*", "G75*", "G02*", "X0Y6000000I5000000J0D01*")
    assert drawing.strokes.end_nm.tolist() == [[0, 0]]
    assert drawing.strokes.centre_nm.tolist() == [[5_000_000, 0]]
    assert drawing.strokes.turn.tolist() == [-1]


def test_an_arc_that_ends_where_it_starts_is_a_dot_in_single_quadrant_mode() -> None:
    # 8.1.10 p.186
    drawing = read("%ADD10C,1*%", "D10*", "X0Y6000000D02*", "G74*", "G02*", "X0Y6000000I5000000J0D01*")
    assert drawing.strokes.end_nm.tolist() == [[0, 0]]
    assert drawing.strokes.turn.tolist() == [0]
    assert areas(drawing) == pytest.approx([math.pi / 4])


def test_four_single_quadrant_arcs_share_their_centre() -> None:
    # 8.1.10 p.184: centre (7, 6), radius 4, counter-clockwise; offsets have no signs
    drawing = read(
        "%ADD10C,1*%", "D10*", "X11000000Y6000000D02*", "G74*", "G03*",
        "X7000000Y10000000I4000000J0D01*", "X3000000Y6000000I0J4000000D01*",
        "X7000000Y2000000I4000000J0D01*", "X11000000Y6000000I0J4000000D01*",
    )  # fmt: skip
    centres = [
        (x + dx / 1e6, y + dy / 1e6)
        for (x, y), (dx, dy) in zip(flashes(drawing), drawing.strokes.centre_nm.tolist(), strict=True)
    ]
    assert centres == [(7, 6)] * 4
    assert drawing.strokes.turn.tolist() == [1] * 4


def test_a_hole_never_clears_what_lies_below() -> None:
    # 4.4.6 p.55: a ring of 10 and 5 mm over a line of 1 mm from (-25, -1) to (25, 1); union 104.7134 mm2
    drawing = read(
        "%ADD10C,1*%", "%ADD11C,10X5*%", "D10*", "X-25000000Y-1000000D02*", "X25000000Y1000000D01*",
        "D11*", "X0Y0D03*",
    )  # fmt: skip
    assert areas(drawing).sum() == pytest.approx(104.7134, abs=5e-4)


def test_a_polygon_has_its_first_corner_to_the_right() -> None:
    # 2.11 example 2 p.27: P,1.00X3; area 0.324760
    drawing = read("%ADD10P,1.00X3*%", "D10*", "X0Y0D03*")
    assert corners(marks(drawing)[0]) == [(0.5, 0), (-0.25, 0.433013), (-0.25, -0.433013)]
    assert areas(drawing) == pytest.approx([0.324760], abs=5e-7)


def test_mirroring_comes_before_rotation() -> None:
    # 4.9.3 p.87: LMY, LR30: p' = R(30) M p. A dot at (2, 1) goes to (2, -1), then to
    # (2 cos 30 + sin 30, 2 sin 30 - cos 30) = (2.232051, 0.133975)
    drawing = read("%AMDOT*1,1,0.2,2,1*%", "%ADD10DOT*%", "%LMY*%", "%LR30*%", "D10*", "X0Y0D03*")
    assert corners(marks(drawing)[0]) == [(2.232051, 0.133975)]


def test_mirroring_along_x_turns_the_sign_of_x() -> None:
    # 4.9.3 p.87; that X means the sign of x is from memory
    drawing = read("%AMDOT*1,1,0.2,2,1*%", "%ADD10DOT*%", "%LMX*%", "D10*", "X0Y0D03*")
    assert corners(marks(drawing)[0]) == [(-2, 1)]


def test_transforms_are_set_and_not_accumulated() -> None:
    # 4.9.4 p.88
    drawing = read("%AMDOT*1,1,0.2,2,0*%", "%ADD10DOT*%", "%LR30*%", "%LR60*%", "D10*", "X0Y0D03*")
    assert corners(marks(drawing)[0]) == [(1, 1.732051)]


def test_a_rotation_holds_for_the_flashes_behind_it() -> None:
    # 4.9.1 p.85: flashes of D123, D123, D124, D124, D123 are turned by 0, 90, 90, 0, 0 degrees
    drawing = read(
        "%ADD123R,2X1*%", "%ADD124R,2X1*%", "D123*", "X0Y0D03*", "%LR90*%", "X1Y0D03*", "D124*", "X2Y0D03*",
        "%LR0*%", "X3Y0D03*", "D123*", "X4Y0D03*",
    )  # fmt: skip
    upright = [abs(marks(drawing, what)[0].core_mm[0, 0]) == 0.5 for what in drawing.what.tolist()]
    assert upright == [False, True, True, False, False]
    assert [drawing.apertures[what].number for what in drawing.what.tolist()] == [123, 123, 124, 124, 123]


def test_scaling_holds_for_draws_too() -> None:
    # 4.9.1 p.86: C,1 and LS1.5: lines of 1 and 1.5 mm
    drawing = read(
        "%ADD10C,1*%", "D10*", "X0Y0D02*", "X9000000D01*", "%LS1.5*%", "Y9000000D01*",
    )  # fmt: skip
    widths = [2 * marks(drawing, row)[0].radius_mm for row in drawing.strokes.aperture.tolist()]
    assert widths == [1, 1.5]


def test_macro_variables_get_the_parameters_of_the_definition() -> None:
    # 4.5.4.1 p.70: a ring of 0.100 and 0.080; area 0.002827
    drawing = read(
        "%AMDONUTVAR*1,1,$1,$2,$3*1,0,$4,$2,$3*%", "%ADD34DONUTVAR,0.100X0X0X0.080*%", "D34*", "X0Y0D03*"
    )
    assert [2 * mark.radius_mm for mark in marks(drawing)] == pytest.approx([0.1, 0.08])
    assert [primitive.adds for primitive in drawing.apertures[0].primitives] == [True, False]
    assert math.pi * (0.05**2 - 0.04**2) == pytest.approx(0.002827, abs=5e-7)


def test_macro_variables_can_be_worked_out() -> None:
    # 4.5.4.3 p.71: $5=$4x0.25 with $4=0.06 is 0.015
    drawing = read(
        "%AMDONUTCAL*1,1,$1,$2,$3*$5=$4x0.25*1,0,$5,$2,$3*%", "%ADD35DONUTCAL,0.020X0X0X0.06*%", "D35*",
        "X0Y0D03*",
    )  # fmt: skip
    assert 2 * marks(drawing)[1].radius_mm == pytest.approx(0.015, rel=1e-12)


def test_macro_values_are_expressions() -> None:
    # 4.5.4.2 p.70: w 0.0807087, h 0.1023622 - 2 x 0.0118110 = 0.0787402, centre (-0.5, -0.3 + 0.1023622)
    drawing = read(
        "%AMRECT*21,1,$1,$2-2x$3,-$4,-$5+$2,0*%",
        "%ADD10RECT,0.0807087X0.1023622X0.0118110X0.5000000X0.3000000*%", "D10*", "X0Y0D03*",
    )  # fmt: skip
    low, high = marks(drawing)[0].core_mm[0], marks(drawing)[0].core_mm[2]
    assert (high - low).tolist() == pytest.approx([0.0807087, 0.0787402])
    assert ((low + high) / 2).tolist() == pytest.approx([-0.5, -0.1976378])


def test_a_centre_line_turns_about_the_origin_of_the_macro() -> None:
    # 4.5.1.5 p.62
    drawing = read("%AMRECT*21,1,6.8,1.2,3.4,0.6,30*%", "%ADD10RECT*%", "D10*", "X0Y0D03*")
    assert corners(marks(drawing)[0]) == [(0, 0), (5.888973, 3.4), (5.288973, 4.43923), (-0.6, 1.03923)]


def test_a_rounded_rectangle_of_lines_and_circles_has_its_area() -> None:
    # 4.5.5.4 p.74: 1.0 x 0.5 with r = 0.1: x y - (4 - pi) r2 = 0.491416
    drawing = read(
        "%AMBOX*0 rounded*$4=$1/2-$3*$5=$2/2-$3*21,1,$1,$2-$3-$3,0,0,0*21,1,$1-$3-$3,$2,0,0,0*$6=$3+$3*"
        "1,1,$6,$4,$5*1,1,$6,-$4,$5*1,1,$6,-$4,-$5*1,1,$6,$4,-$5*%",
        "%ADD10BOX,1.0X0.5X0.1*%", "D10*", "X0Y0D03*",
    )  # fmt: skip
    assert areas(drawing) == pytest.approx([0.491416], abs=5e-6)


def test_a_thermal_leaves_four_pieces() -> None:
    # 2.11 example 2 p.27: 0.8 and 0.55 mm, gap 0.125 mm, 45 degrees; together 0.202196 mm2
    drawing = read("%AMTHERMAL80*7,0,0,0.800,0.550,0.125,45*%", "%ADD10THERMAL80*%", "D10*", "X0Y0D03*")
    assert [mark.adds for mark in marks(drawing)] == [True, False, False, False]
    assert len(areas(drawing)) == 4
    assert areas(drawing).sum() == pytest.approx(0.202196, rel=1e-3)  # flattened to 0.1 um


def test_clear_takes_away_only_what_was_drawn_before() -> None:
    # 4.10.4.6 p.99: a square of 150 mm dark, a circle of radius 50 clear, a square of 50 dark, r 25 clear:
    # areas after each, all about (100, 100) but the last circle, 22500, 14646.018, 17146.018, 16275.729 mm2
    lines = [
        "%ADD10R,150X150*%", "%ADD11C,100*%", "%ADD12R,50X50*%", "%ADD13C,50*%",
        "D10*", "X100000000Y100000000D03*", "%LPC*%", "D11*", "X100000000Y100000000D03*",
        "%LPD*%", "D12*", "X100000000Y100000000D03*", "%LPC*%", "D13*", "X140000000Y100000000D03*",
    ]  # fmt: skip
    found = [areas(read(*lines[:end])).sum() for end in (6, 9, 12, 15)]
    assert found[0] == pytest.approx(22500)
    assert found[1] == pytest.approx(22500 - math.pi * 50**2, rel=1e-5)
    assert found[2] == pytest.approx(17146.018, abs=0.01)  # curves of 300 mm, flattened to 0.1 um
    assert found[3] == pytest.approx(16275.729, abs=0.01)


def test_contours_of_a_region_are_filled_one_by_one() -> None:
    # 4.10.4.2 p.95: a square of 10 x 10 and a diamond about (-5, 5) of 8 across: 100 + 32 = 132
    drawing = read(
        "G36*", "X0Y0D02*", "G01*", "X10D01*", "Y10D01*", "X0D01*", "Y0D01*",
        "X-1Y5D02*", "X-5Y1D01*", "X-9Y5D01*", "X-5Y9D01*", "X-1Y5D01*", "G37*",
        head=("%FSLAX60Y60*%", "%MOMM*%"),
    )  # fmt: skip
    assert drawing.kind.tolist() == [Kind.REGION] * 2
    assert flashes(drawing) == [(0, 0), (-1, 5)]
    assert [abs(signed_area(drawing, number)) for number in (0, 1)] == [100, 32]
    assert areas(drawing).sum() == pytest.approx(132)


def test_a_cut_in_makes_a_hole() -> None:
    # 4.10.4.8 p.104: a square of 10 x 10 less the diamond, reached over coincident segments: 68
    drawing = read(
        "G36*", "X0Y5D02*", "G01*", "Y10D01*", "X10D01*", "Y0D01*", "X0D01*", "Y5D01*", "X1D01*",
        "X5Y1D01*", "X9Y5D01*", "X5Y9D01*", "X1Y5D01*", "X0D01*", "G37*",
        head=("%FSLAX60Y60*%", "%MOMM*%"),
    )  # fmt: skip
    assert len(contour(drawing)) == 11
    assert abs(signed_area(drawing)) == 68
    assert areas(drawing).tolist() == pytest.approx([68])


def test_a_clear_contour_with_arcs_leaves_its_surroundings() -> None:
    # 2.11 example 2 p.28, set up anew from its figures: 32.5 x 17.5 dark is 568.75; clear is 20 x 7.5 less a
    # corner rounded with r 2.5 (6.25 - pi 2.5^2 / 4) and half a disc of r 3.75 (pi 3.75^2 / 2): 170.748062;
    # 398.001938 are left
    drawing = read(
        "G75*", "G36*", "X0Y0D02*", "G01*", "X32500000D01*", "Y17500000D01*", "X0D01*", "Y0D01*", "G37*",
        "%LPC*%", "G36*", "X5000000Y5000000D02*", "Y10000000D01*", "G02*", "X7500000Y12500000I2500000J0D01*",
        "G01*", "X25000000D01*", "G02*", "Y5000000I0J-3750000D01*", "G01*", "X5000000D01*", "G37*",
    )  # fmt: skip
    assert drawing.dark.tolist() == [True, False]
    assert areas(drawing).tolist() == pytest.approx([398.001938], abs=1e-3)


def test_a_contour_within_another_takes_nothing_away() -> None:
    # 4.10.4: contours are filled one by one and united, so the diamond in the square leaves its 100
    # (our own figure; the section has others whose listing is not in the table)
    drawing = read(
        "G36*", "X0Y0D02*", "G01*", "X10D01*", "Y10D01*", "X0D01*", "Y0D01*",
        "X1Y5D02*", "X5Y1D01*", "X9Y5D01*", "X5Y9D01*", "X1Y5D01*", "G37*",
        head=("%FSLAX60Y60*%", "%MOMM*%"),
    )  # fmt: skip
    assert areas(drawing).tolist() == pytest.approx([100])


def test_step_and_repeat_copies_up_first_and_then_across() -> None:
    # 4.12 p.116: SRX2Y3I2.0J3.0
    drawing = read("%ADD10C,1*%", "D10*", "%SRX2Y3I2.0J3.0*%", "X0Y0D03*", "%SR*%")
    assert flashes(drawing) == [(0, 0), (0, 3), (0, 6), (2, 0), (2, 3), (2, 6)]
    assert drawing.line.tolist() == [6] * 6


def test_step_and_repeat_in_one_row_ignores_the_other_step() -> None:
    # 4.12 p.116: SRX4Y1I5.0J0
    drawing = read("%ADD10C,1*%", "D10*", "%SRX4Y1I5.0J0*%", "X0Y0D03*", "%SR*%")
    assert flashes(drawing) == [(0, 0), (5, 0), (10, 0), (15, 0)]


def test_nested_blocks_are_counted_out() -> None:
    # 4.11.4 p.114: D100 2 draws and a flash; D101 4 x D100; D102 6 x D101 and a flash; 2 x D13, 6 x D102:
    # 2 + 6 x (6 x 4 x 3 + 1) = 440
    drawing = read(
        "%ADD11C,0.5*%", "%ADD13R,1X1*%",
        "%ABD102*%", "%ABD101*%", "%ABD100*%",
        "D11*", "X0Y0D02*", "X1000000D01*", "Y1000000D01*", "D13*", "X0Y0D03*", "%AB*%",
        "D100*", *(f"X{4 * k}000000Y0D03*" for k in range(4)), "%AB*%",
        "D101*", *(f"X0Y{4 * k}000000D03*" for k in range(6)), "D13*", "X-9000000Y0D03*", "%AB*%",
        "D13*", "X-30000000Y0D03*", "Y9000000D03*", "D102*", *(f"X{40 * k}000000Y0D03*" for k in range(6)),
    )  # fmt: skip
    assert len(drawing) == 440


def test_two_squares_are_eight_draws() -> None:
    # 2.11 example 1 pp.24-25: C,0.010; boxes from 0 to 5 and from 6 to 11 by 0 to 5, in format 2.6
    drawing = read(
        "%ADD10C,0.010*%", "D10*",
        "X0Y0D02*", "G01*", "X5000000Y0D01*", "Y5000000D01*", "X0D01*", "Y0D01*",
        "X6000000D02*", "X11000000D01*", "Y5000000D01*", "X6000000D01*", "Y0D01*",
        head=("%FSLAX26Y26*%", "%MOMM*%"),
    )  # fmt: skip
    assert drawing.kind.tolist() == [Kind.STROKE] * 8
    end_x = drawing.x_nm + drawing.strokes.end_nm[:, 0]
    end_y = drawing.y_nm + drawing.strokes.end_nm[:, 1]
    assert (drawing.x_nm.min(), end_x.max(), end_y.max()) == (0, 11_000_000, 5_000_000)
    assert marks(drawing)[0].radius_mm == 0.005


def test_attributes_of_apertures_are_read_and_change_nothing() -> None:
    # 5.8 p.156
    drawing = read(
        "%ADD13R,1X1*%", "%TAIAmATA*%", "D13*", "X0Y0D03*", "%ADD11R,1X2*%", "%TDIAmATA*%", "%ADD12C,1*%",
        "D11*", "X5000000Y0D03*", "D12*", "X9000000Y0D01*",
    )  # fmt: skip
    assert drawing.kind.tolist() == [Kind.FLASH, Kind.FLASH, Kind.STROKE]
    assert drawing.diagnostics == ()
