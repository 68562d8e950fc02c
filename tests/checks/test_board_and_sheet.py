"""The board's edge, and the sheet: margins, fit and overhang."""

import math

import pytest

from pastecheck import rulesets
from pastecheck.judge import judge
from pastecheck.measurements import Measurements, Sheet
from tests.checks.boards import Layers, Place, flashes, holds, measured, readings, reads, stroke, wishes

PEN = "C,0.1"
BOARD = stroke(PEN, (0, 0), (50, 0), (50, 50), (0, 50), (0, 0))


def over(x_mm: float, y_mm: float, sheet: Sheet) -> Measurements:
    """Openings over an extent, in a corner of the plane."""
    low, high = (7.5, 3.5), (7 + x_mm - 0.5, 3 + y_mm - 0.5)
    return measured(Layers(flashes("R,1X1", low, high)), sheet=sheet)


@pytest.mark.parametrize(
    ("extent", "margin_mm"),
    # notes: usable 100 x 100; turned where that leaves more: 60 x 96 as 96 x 60
    [((80, 60), 10), ((96, 60), 2), ((60, 96), 2), ((100, 60), 0), ((102, 60), -1)],
)
def test_the_margin_is_what_is_left_on_the_narrower_side(extent: Place, margin_mm: float) -> None:
    m = over(*extent, Sheet(100, 100))
    assert readings("edge-margin", m).values.tolist() == [pytest.approx(margin_mm, abs=1e-6)]


def test_the_margin_is_told_at_the_opening_that_is_nearest() -> None:
    m = measured(Layers(flashes("R,1X1", (0, 0), (5, 2), (9, 3))), sheet=Sheet(100, 100))
    assert readings("edge-margin", m).opening.tolist() == [0]


def test_a_larger_sheet_is_asked_for() -> None:
    # 2 mm are 8 less than 10, on both sides
    m = over(96, 60, Sheet(100, 100))
    assert wishes("edge-margin", m, 10) == ["use a sheet that is 16.0 mm larger that way"]


@pytest.mark.parametrize(
    ("extent", "margin_mm", "spare_mm"), [((80, 60), 10, 0), ((90, 60), 10, -10), ((60, 60), 5, 30)]
)
def test_a_sheet_fits_by_what_it_has_to_spare(extent: Place, margin_mm: float, spare_mm: float) -> None:
    found = readings("sheet-fit", over(*extent, Sheet(100, 100)), margin_mm=margin_mm)
    assert found.values.tolist() == [pytest.approx(spare_mm, abs=1e-6)]


def test_the_smallest_sheet_that_fits_is_told() -> None:
    # 90 + 2 x 15 + 2 x 5, 60 + 2 x 15 + 2 x 5
    m = over(90, 60, Sheet(100, 100, 5))
    assert wishes("sheet-fit", m, 0) == ["it takes a sheet of 100.0 x 130.0 mm or larger"]


@pytest.mark.parametrize("check", ["edge-margin", "sheet-fit"])
def test_without_a_sheet_nothing_is_read_and_the_report_says_why(check: str) -> None:
    m = measured(Layers(flashes("R,1X1", (0, 0))))
    assert all(math.isnan(value) for value in readings(check, m).values.tolist())
    (outcome,) = [one for one in judge(m, rulesets.load("polyester-75-knife")) if one.check == check]
    assert (outcome.missing, outcome.measured) == ("a sheet in the rule set", 0)


# ---------------------------------------------------------------------------------------------- the board


@pytest.mark.parametrize(
    ("place", "reach_mm"),
    # notes: a board 50 wide, an opening to x = 50.2 passes, one to 50.4 does not
    [
        ((25, 25), 0),
        ((49.5, 25), 0),
        ((49.7, 25), 0.2),
        ((49.9, 25), 0.4),
        ((49.8, 49.9), 0.5),
        ((55, 25), 5.5),
    ],
)
def test_an_opening_reaches_beyond_the_board(place: Place, reach_mm: float) -> None:
    m = measured(Layers(flashes("R,1X1", place), outline=BOARD))
    assert holds(readings("board-overhang", m), [reach_mm])


def test_castellated_lands_at_the_edge_pass_and_what_is_farther_out_is_an_error() -> None:
    def levels(x_mm: float) -> list[str]:
        m = measured(Layers(flashes("R,1X1", (25, 25), (x_mm, 25)), outline=BOARD), 0.075)
        outcomes = judge(m, rulesets.load("polyester-75-knife"))
        return [
            one.level for outcome in outcomes for one in outcome.findings if one.check == "board-overhang"
        ]

    assert levels(49.7) == []
    assert levels(49.9) == ["error"]


def test_a_round_board_is_read_to_the_bound() -> None:
    circle = f"%ADD20{PEN}*%\nD20*\nG75*\nG03*\nX25000000Y0D02*\nX25000000Y0I-25000000J0D01*"
    m = measured(Layers(flashes("C,1", (24.7, 0)), outline=circle))
    assert holds(readings("board-overhang", m), [0.2])


def test_an_opening_over_the_edge_of_a_cutout_reaches_beyond() -> None:
    hole = stroke(PEN, (20, 20), (30, 20), (30, 30), (20, 30), (20, 20), number=21)
    assert reads("board-overhang", Layers(flashes("R,1X1", (19.7, 25)), outline=BOARD + "\n" + hole)) == [0.2]


def test_openings_inside_a_loop_show_that_it_is_a_board_in_a_frame() -> None:
    inner = stroke(PEN, (20, 20), (30, 20), (30, 30), (20, 30), (20, 20), number=21)
    layers = Layers(flashes("R,1X1", (25, 25), (19.7, 25)), outline=BOARD + "\n" + inner)
    assert reads("board-overhang", layers) == [0.0, 0.0]
