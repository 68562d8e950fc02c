"""Step-and-repeat and block apertures: what is copied where, what may not be nested, how much is too much."""

import time

import numpy as np
import pytest

from pastecheck.drawing import Kind
from pastecheck.errors import GerberSyntaxError, GerberUnsupportedError, PastecheckError
from pastecheck.limits import STANDARD, Limits
from tests.gerber.layers import areas, contour, corners, flashes, marks, read, signed_area

DISC = ("%ADD10C,1*%", "D10*")
FLASH = "X0Y0D03*"
BLOCK = ("%ADD11C,1*%", "%ABD12*%", "D11*", "X1000000Y0D03*", "%AB*%")
"""A block with a disc at (1, 0); it ends on line 7."""


def refused(*lines: str, limits: Limits = STANDARD) -> tuple[str, int]:
    """Code and line of the error that lines raise; the first of them is line 3."""
    with pytest.raises(PastecheckError) as caught:
        read(*lines, limits=limits)
    return caught.value.code, caught.value.span.line


# -------------------------------------------------------------------------------------- step and repeat


def test_copies_go_up_first_and_then_across() -> None:
    drawing = read(*DISC, "%SRX2Y2I3J5*%", FLASH, "%SR*%")
    assert flashes(drawing) == [(0, 0), (0, 5), (3, 0), (3, 5)]


def test_objects_of_one_copy_stay_together_and_in_order() -> None:
    drawing = read(*DISC, "%SRX2Y1I3J0*%", FLASH, "%LPC*%", "X1000000Y0D03*", "%SR*%")
    assert flashes(drawing) == [(0, 0), (1, 0), (3, 0), (4, 0)]
    assert drawing.dark.tolist() == [True, False, True, False]


def test_copies_keep_the_line_of_their_original() -> None:
    drawing = read(*DISC, "%SRX3Y1I3J0*%", FLASH, "%SR*%")
    assert drawing.line.tolist() == [6, 6, 6]


@pytest.mark.parametrize(
    ("statement", "copies"),
    [
        ("SRX2Y3I1J1", 6),
        ("SRX2", 2),  # the rest is left out: one row, no step
        ("SRY3J1", 3),
        ("SRX2Y2I-1J-1", 4),
        ("SRX1Y1I0J0", 1),
        ("SRX2Y1I.5J0", 2),
    ],
)
def test_counts_and_steps_may_be_left_out(statement: str, copies: int) -> None:
    assert len(read(*DISC, f"%{statement}*%", FLASH, "%SR*%")) == copies


def test_what_is_copied_without_a_step_is_there_several_times() -> None:
    assert flashes(read(*DISC, "%SRX2Y2I0J0*%", FLASH, "%SR*%")) == [(0, 0)] * 4


def test_steps_are_rounded_once_and_not_step_by_step() -> None:
    # 1/3 um is no whole nanometre: the copy at 3 steps lies at 1000 nm and not at 3 x 333 nm
    drawing = read(*DISC, "%SRX4Y1I0.00033333333J0*%", FLASH, "%SR*%")
    assert drawing.x_nm.tolist() == [0, 333, 667, 1000]


def test_steps_of_inches_are_exact() -> None:
    head = ("%FSLAX24Y24*%", "%MOIN*%")
    drawing = read("%ADD10C,.1*%", "D10*", "%SRX3Y1I.001J0*%", FLASH, "%SR*%", head=head)
    assert drawing.x_nm.tolist() == [0, 25_400, 50_800]


def test_the_current_point_and_polarity_go_on_behind_a_repeat() -> None:
    drawing = read(*DISC, "%SRX2Y1I3J0*%", "%LPC*%", "X5000000Y0D03*", "%SR*%", "Y1000000D03*")
    assert flashes(drawing) == [(5, 0), (8, 0), (5, 1)]
    assert not drawing.dark.any()


def test_an_end_that_ends_nothing_does_nothing() -> None:
    assert len(read(*DISC, "%SR*%", FLASH, "%SR*%")) == 1


def test_an_empty_repeat_draws_nothing() -> None:
    assert len(read(*DISC, "%SRX9Y9I1J1*%", "%SR*%", FLASH)) == 1


def test_strokes_and_contours_are_copied_as_they_are() -> None:
    drawing = read(
        *DISC, "%SRX2Y1I10J0*%", "X0Y0D02*", "G01*", "X2000000Y0D01*", "G36*", "X0Y5000000D02*",
        "X1000000D01*", "Y6000000D01*", "X0Y5000000D01*", "G37*", "%SR*%",
    )  # fmt: skip
    assert drawing.kind.tolist() == [Kind.STROKE, Kind.REGION] * 2
    assert drawing.what.tolist() == [0, 0, 0, 0]  # one row of each table for both copies
    assert flashes(drawing) == [(0, 0), (0, 5), (10, 0), (10, 5)]


# ----------------------------------------------------------------------------------------------- blocks


def test_a_block_is_drawn_only_where_it_is_flashed() -> None:
    assert len(read(*BLOCK)) == 0
    assert flashes(read(*BLOCK, "D12*", "X5000000Y5000000D03*")) == [(6, 5)]


def test_an_empty_block_draws_nothing() -> None:
    assert len(read("%ABD12*%", "%AB*%", "D12*", FLASH)) == 0


def test_flashes_of_blocks_and_of_others_stay_in_order() -> None:
    drawing = read(*BLOCK, "D12*", FLASH, "D11*", "X9000000Y0D03*", "D12*", "X2000000Y0D03*")
    assert flashes(drawing) == [(1, 0), (9, 0), (3, 0)]


def test_objects_of_a_block_keep_the_line_that_draws_them() -> None:
    assert read(*BLOCK, "D12*", FLASH, "X1Y1D03*").line.tolist() == [6, 6]


@pytest.mark.parametrize(
    ("transform", "place"),
    [
        ("%LMX*%", (-1, 0)),
        ("%LMY*%", (1, 0)),
        ("%LR90*%", (0, 1)),
        ("%LS3*%", (3, 0)),
        ("%LMX*%%LR90*%", (0, -1)),  # (1, 0) to (-1, 0), and that turned
        ("%LR90*%%LMX*%", (0, -1)),  # mirrored first, whatever the order
    ],
)
def test_the_places_in_a_block_are_transformed_about_its_origin(
    transform: str, place: tuple[float, float]
) -> None:
    assert flashes(read(*BLOCK, "D12*", transform, FLASH)) == [place]


def test_transforms_of_a_block_come_on_top_of_those_of_its_objects() -> None:
    # a lower-left rectangle of 2 x 1 turned by 90 in the block: x -1 to 0, y 0 to 2; turned again: x -2 to 0,
    # y -1 to 0
    drawing = read(
        "%AMM*", "22,1,2,1,0,0,0*%", "%ADD11M*%", "%LR90*%", "%ABD12*%", "D11*", FLASH, "%AB*%", "D12*", FLASH
    )
    (mark,) = marks(drawing, int(drawing.what[0]))
    assert sorted(corners(mark)) == [(-2, -1), (-2, 0), (0, -1), (0, 0)]


def test_transforms_before_a_block_hold_for_its_flashes_too() -> None:
    drawing = read("%LS2*%", *BLOCK, "D12*", FLASH)
    # the disc is scaled in the block and by its flash: 1 x 2 x 2; its place once: 1 x 2
    assert flashes(drawing) == [(2, 0)]
    assert areas(drawing) == pytest.approx([np.pi * 4])


def test_a_mirrored_block_turns_its_arcs_round() -> None:
    # from (1, 0) about (0, 0) to (0, 1), counter-clockwise; mirrored: from (-1, 0) to (0, 1), clockwise
    drawing = read(
        "%ADD11C,.1*%", "%ABD12*%", "D11*", "G75*", "X1000000Y0D02*", "G03*", "X0Y1000000I-1000000J0D01*",
        "%AB*%", "D12*", "%LMX*%", FLASH,
    )  # fmt: skip
    stroke = int(drawing.what[0])
    assert flashes(drawing) == [(-1, 0)]
    assert drawing.strokes.end_nm[stroke].tolist() == [1_000_000, 1_000_000]
    assert drawing.strokes.centre_nm[stroke].tolist() == [1_000_000, 0]
    assert drawing.strokes.turn[stroke] == -1


def test_a_mirrored_block_turns_its_contours_round() -> None:
    drawing = read(
        "%ABD12*%", "G36*", "X0Y0D02*", "G01*", "X2000000D01*", "Y1000000D01*", "X0Y0D01*", "G37*", "%AB*%",
        "D12*", "%LMX*%", FLASH,
    )  # fmt: skip
    number = int(drawing.what[0])
    assert contour(drawing, number).tolist() == [[0, 0], [-2_000_000, 0], [-2_000_000, 1_000_000]]
    assert signed_area(drawing, number) == -1


def test_a_clear_flash_of_a_block_turns_the_polarity_of_each_object() -> None:
    lines = ("%ADD11C,1*%", "%ABD12*%", "D11*", FLASH, "%LPC*%", FLASH, "%AB*%", "D12*", FLASH)
    assert read(*lines).dark.tolist() == [False, True]  # clear was set in the block, and goes on behind it
    assert read(*lines[:-2], "%LPD*%", *lines[-2:]).dark.tolist() == [True, False]


def test_blocks_within_blocks_may_be_used_at_once_and_outside() -> None:
    drawing = read(
        "%ADD11C,1*%", "%ABD12*%", "%ABD13*%", "D11*", FLASH, "%AB*%", "D13*", "X1000000Y0D03*", "%AB*%",
        "D12*", "X0Y5000000D03*", "D13*", "X0Y9000000D03*",
    )  # fmt: skip
    assert flashes(drawing) == [(1, 5), (0, 9)]


def test_a_repeat_may_stand_in_a_block_and_a_block_be_flashed_in_a_repeat() -> None:
    drawing = read(
        "%ADD11C,1*%", "%ABD12*%", "%SRX2Y1I1J0*%", "D11*", FLASH, "%SR*%", "%AB*%", "%SRX1Y2I0J5*%", "D12*",
        FLASH, "%SR*%",
    )  # fmt: skip
    assert flashes(drawing) == [(0, 0), (1, 0), (0, 5), (1, 5)]


def test_the_component_of_the_flash_counts_before_those_in_the_block() -> None:
    block = ("%ADD11C,1*%", "%TO.C,U1*%", "%ABD12*%", "D11*", FLASH, "%AB*%", "%TD*%", "D12*")
    drawing = read(*block, FLASH, "%TO.C,U2*%", FLASH)
    assert [drawing.labels[row] for row in drawing.label.tolist()] == ["U1", "U2"]


# --------------------------------------------------------------------------------------------- refusals


@pytest.mark.parametrize(
    ("lines", "code", "line"),
    [
        (("%AB*%",), "misplaced-statement", 3),
        (("%ABD12*%", "%AB*%", "%AB*%"), "misplaced-statement", 5),
        (("%ABD12*%", "%ABD13*%", "%AB*%"), "misplaced-statement", 3),  # the outer one is not ended
        (("%SRX2Y1I1J0*%", "%ABD12*%", "%SR*%"), "misplaced-statement", 5),
        (("%SRX2Y1I1J0*%", "%AB*%"), "misplaced-statement", 4),
        (("%ABD12*%", "%SRX2Y1I1J0*%", "%AB*%"), "misplaced-statement", 5),
        (("%ABD12*%", "D12*", FLASH, "%AB*%"), "undefined-aperture", 5),  # itself
        (("%ABD12*%", "%AB*%", "%ABD12*%"), "contradiction", 5),
        (("%ADD12C,1*%", "%ABD12*%"), "contradiction", 4),
        (("%ABD12*%", "%AB*%", "%ADD12C,1*%"), "contradiction", 5),
        (("%ABD9*%",), "malformed-statement", 3),
        (("%AB12*%",), "malformed-statement", 3),
        (("%SRX0Y1I1J1*%",), "malformed-statement", 3),
        (("%SRX1Y0I1J1*%",), "malformed-statement", 3),
        (("%SRX-1Y1*%",), "malformed-statement", 3),
        (("%SRX2Y2I1e3J1*%",), "malformed-statement", 3),
    ],
)
def test_what_is_not_nested_or_written_properly_is_refused_at_its_line(
    lines: tuple[str, ...], code: str, line: int
) -> None:
    assert refused(*lines) == (code, line)


def test_more_objects_than_allowed_are_refused_before_they_are_made() -> None:
    begun = time.perf_counter()
    assert refused(*DISC, "%SRX1000000Y1000000I1J1*%", FLASH, "%SR*%") == ("too-large", 5)
    assert time.perf_counter() - begun < 1


def test_nested_copies_that_multiply_are_refused_before_they_are_made() -> None:
    # 100 x 100 copies three times within one another are 10^12 objects
    lines = [
        "%ADD11C,1*%", "%ABD12*%", "%SRX100Y100I1J1*%", "D11*", FLASH, "%SR*%", "%AB*%",
        "%ABD13*%", "%SRX100Y100I1J1*%", "D12*", FLASH, "%SR*%", "%AB*%",
        "%SRX100Y100I1J1*%", "D13*", FLASH, "%SR*%",
    ]  # fmt: skip
    begun = time.perf_counter()
    assert refused(*lines) == ("too-large", 11)
    assert time.perf_counter() - begun < 1


def test_doubling_blocks_are_refused_before_they_are_made() -> None:
    # each block flashes the one before twice: 2^40 objects
    lines = ["%ADD11C,1*%"]
    for number in range(12, 52):
        lines += [f"%ABD{number}*%", f"D{number - 1}*", FLASH, "X1Y1D03*", "%AB*%"]
    begun = time.perf_counter()
    with pytest.raises(GerberUnsupportedError) as caught:
        read(*lines, "D51*", FLASH)
    assert caught.value.code == "too-large"
    assert time.perf_counter() - begun < 20


def test_the_number_of_objects_may_reach_the_limit() -> None:
    six = STANDARD.raised("objects", 6)
    assert len(read(*DISC, "%SRX2Y3I1J1*%", FLASH, "%SR*%", limits=six)) == 6
    assert refused(*DISC, "%SRX7Y1I1J1*%", FLASH, "%SR*%", limits=six) == ("too-large", 5)
    # with the one of the block itself: six
    assert len(read(*BLOCK, "D12*", *[FLASH] * 5, limits=six)) == 5
    assert refused(*BLOCK, "D12*", *[FLASH] * 6, limits=six) == ("too-large", 9)
    assert len(read(*DISC, *[FLASH] * 6, limits=six)) == 6
    assert refused(*DISC, *[FLASH] * 7, limits=six) == ("too-large", 5)


def test_a_limit_that_is_passed_says_how_to_raise_it() -> None:
    with pytest.raises(GerberUnsupportedError) as caught:
        read(*DISC, "%SRX1000Y4000I1J1*%", FLASH, "%SR*%")
    assert caught.value.text == "the file would draw 4000000 objects; at most 2000000 are read"
    assert "--limit objects=4000000" in caught.value.hint


def test_repeats_and_blocks_are_bounded_together() -> None:
    repeat = ("%SRX1000Y1000I0J0*%", FLASH, "%SR*%")
    # two make the two million that are allowed; the flash of the third is one more
    assert refused(*DISC, *repeat * 6) == ("too-large", 12)
    blocks = [line for number in range(12, 18) for line in (f"%ABD{number}*%", *repeat, "%AB*%")]
    assert refused(*DISC, *blocks) == ("too-large", 17)  # five lines a block: the end of the third one


def test_copies_of_nothing_are_nothing_however_many() -> None:
    assert len(read("%SRX99999999Y99999999I1J1*%", "%SR*%")) == 0


def test_strokes_and_corners_of_transformed_blocks_are_bounded() -> None:
    one = STANDARD.raised("corners", 1)
    stroke = ("D11*", "X0Y0D02*", "X1000000Y0D01*")
    lines = ("%ADD11C,.1*%", "%ABD12*%", *stroke, "%AB*%", "D12*")
    assert len(read(*lines, FLASH, limits=one)) == 1
    assert refused(*lines, "%LR90*%", FLASH, limits=one) == ("too-large", 11)


def test_copies_beyond_ten_metres_are_refused() -> None:
    assert refused(*DISC, "%SRX2Y1I10001J0*%", FLASH, "%SR*%") == ("too-large", 5)
    assert refused(*DISC, "%SRX3Y1I4000J0*%", "X5000000000Y0D03*", "%SR*%")[0] == "too-large"
    far = ("%ADD11C,1*%", "%ABD12*%", "D11*", "X99000000Y0D03*", "%AB*%", "D12*", "%LS999*%", FLASH)
    assert refused(*far) == ("too-large", 10)


def test_a_block_cannot_be_a_pen() -> None:
    with pytest.raises(GerberUnsupportedError) as caught:
        read(*BLOCK, "D12*", "X0Y0D02*", "X1000000D01*")
    assert caught.value.code == "unsweepable-aperture"


def test_a_flash_of_a_block_that_is_defined_later_is_refused() -> None:
    with pytest.raises(GerberSyntaxError) as caught:
        read("D12*", FLASH, *BLOCK)
    assert (caught.value.code, caught.value.span.line) == ("undefined-aperture", 4)


def test_many_transformations_of_a_block_take_no_more_than_their_copies() -> None:
    strokes = [f"X{k}Y{k % 7}D01*" for k in range(100)]
    turned = [line for k in range(2000) for line in (f"%LR{k / 100}*%", FLASH)]
    begun = time.perf_counter()
    drawing = read("%ADD11C,.1*%", "%ABD12*%", "D11*", *strokes, "%AB*%", "D12*", *turned)
    assert len(drawing) == 200_000
    assert time.perf_counter() - begun < 5  # it takes 0.8 s; copying all that is there each time took minutes
