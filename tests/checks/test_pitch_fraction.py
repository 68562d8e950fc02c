"""Which openings are leads of a row, and how much of its pitch they fill: all worked out by hand."""

import math

import numpy as np
import pytest

from pastecheck.checks.pitch_fraction import CHECK, Params
from pastecheck.geometry.rows import rows_of
from pastecheck.measurements import Measurements
from pastecheck.measurements.rows import are_leads
from tests.checks.among import FOIL, flashes, line, measured, readings, turned, values
from tests.drawn import cut_text, mm_layer

NAN = [math.nan]
SLOT = "R,0.3X1.5"
ALL_GAPS = Params(only_gaps_below_mm=10.0)


def same(found: list[float], expected: list[float]) -> bool:
    return np.array_equal(np.array(found), np.array(expected), equal_nan=True)


@pytest.mark.parametrize("degrees", [0, 17, 45, 90, 123.4])
def test_a_row_is_read_at_any_angle(degrees: float) -> None:
    places = turned(line(0.5, *range(6)), degrees)
    drawn = flashes(SLOT, places)
    drawn.insert(1, f"%LR{degrees:.6f}*%")
    found = readings(CHECK, measured(*drawn))
    # places are rounded to a nanometre: 1 nm of a pitch of 0.5 mm
    assert np.abs(found.values - 0.6).max() <= found.error.max() <= 2e-6


def test_a_file_that_rounds_places_to_a_mil_is_read_as_one_row() -> None:
    # pitch 0.5 mm is 19.685 mil: places at 0, 20, 39, 59, 79, 98, 118 mil; least squares give
    # (3 x 118 + 2 x 78 + 1 x 40) / 28 = 550 / 28 mil = 0.498929 mm; opening 12 mil = 0.3048 mm
    drawn = [f"X{mil * 1000}Y0D03*" for mil in (0, 20, 39, 59, 79, 98, 118)]
    text = "\n".join(["%FSLAX26Y26*%", "%MOIN*%", "%ADD10R,0.012X0.06*%", "D10*", *drawn, "M02*", ""])
    found = readings(CHECK, Measurements(cut_text(text), FOIL)).values
    assert found.tolist() == pytest.approx([0.3048 / (550 / 28 * 0.0254)] * 7, abs=2e-6)
    assert abs(found[0] - 0.3048 / 0.5) < 0.002


def test_a_missing_lead_ends_a_row_and_both_sides_are_read() -> None:
    found = values(CHECK, measured(*flashes(SLOT, line(0.5, 0, 1, 2, 4, 5, 6))))
    assert found == [0.6] * 6


def test_two_leads_beyond_a_missing_one_are_no_row() -> None:
    found = values(CHECK, measured(*flashes(SLOT, line(0.5, 0, 1, 2, 4, 5))))
    assert same(found, [0.6] * 3 + NAN * 2)


def test_a_wider_end_land_is_no_part_of_its_row() -> None:
    wide = flashes("R,0.4X1.5", [(2.05, 0)], code=11)
    assert same(values(CHECK, measured(*flashes(SLOT, line(0.5, 0, 1, 2, 3)), *wide)), [0.6] * 4 + NAN)


def test_double_rows_are_rows_each() -> None:
    places = line(0.5, 0, 1, 2) + line(0.5, 0, 1, 2, y=2.5)
    assert values(CHECK, measured(*flashes(SLOT, places))) == [0.6] * 6


def test_staggered_rows_are_rows_each() -> None:
    places = line(0.5, 0, 1, 2) + [(x + 0.25, 1.8) for x, _ in line(0.5, 0, 1, 2)]
    assert values(CHECK, measured(*flashes(SLOT, places))) == [0.6] * 6


def test_a_gap_at_the_setting_is_not_read_and_one_below_is() -> None:
    assert same(values(CHECK, measured(*flashes("R,0.265X1", line(0.5, 0, 1, 2)))), NAN * 3)
    assert values(CHECK, measured(*flashes("R,0.266X1", line(0.5, 0, 1, 2)))) == [0.532] * 3


def test_obrounds_and_rounded_slots_are_leads_too() -> None:
    assert values(CHECK, measured(*flashes("O,0.3X1.5", line(0.5, 0, 1, 2)))) == [0.6] * 3


def test_a_line_of_round_openings_is_a_row_and_a_grid_of_them_is_none() -> None:
    assert values(CHECK, measured(*flashes("C,0.3", line(0.5, 0, 1, 2, 3)))) == [0.6] * 4
    grid = [place for y in (0, 0.5, 1) for place in line(0.5, 0, 1, 2, y=y)]
    assert same(values(CHECK, measured(*flashes("C,0.3", grid))), NAN * 9)


def test_octagons_are_round_as_balls_are() -> None:
    grid = [place for y in (0, 0.5, 1) for place in line(0.5, 0, 1, 2, y=y)]
    found = measured(*flashes("P,0.3X8", grid))
    assert found.rows.are_in_grids.all()


def test_three_panes_in_a_line_are_no_leads() -> None:
    # 0.9 of 1.1: without labels and lands nothing so wide is taken for leads
    assert same(values(CHECK, measured(*flashes("R,0.9X2", line(1.1, 0, 1, 2)))), NAN * 3)


def test_oblong_panes_in_two_rows_are_no_leads() -> None:
    # 0.45 of 0.6 and 0.9 of 1.1: both above 0.70
    places = line(0.6, 0, 1, 2) + line(0.6, 0, 1, 2, y=1.1)
    assert same(values(CHECK, measured(*flashes("R,0.45X0.9", places))), NAN * 6)


def test_chips_side_by_side_that_bear_their_names_are_no_leads() -> None:
    def chip(row: int) -> list[str]:
        places = [(0.6 * row, 0.0), (0.6 * row, 0.6)]
        return flashes("R,0.4X0.3", places, label=f"R{row}", code=10 + row)

    drawn = [statement for row in range(4) for statement in chip(row)]
    assert same(values(CHECK, measured(*drawn)), NAN * 8)


def test_leads_that_bear_one_name_are_leads() -> None:
    assert values(CHECK, measured(*flashes(SLOT, line(0.5, 0, 1, 2), label="U1"))) == [0.6] * 3


def test_wide_rows_are_leads_only_where_names_and_lands_say_so() -> None:
    # 0.6 at 0.8 mm
    place = np.array([[0, 0], [800_000, 0], [1_600_000, 0]])
    size = np.full(3, 0.6), np.full(3, 1.5)
    rows = rows_of(place, *size, np.full(3, math.pi / 2), np.zeros(3, bool))
    named, nameless, own, shared = np.ones(3, int), np.zeros(3, int), np.arange(3), np.zeros(3, int)
    assert are_leads(rows, named, own).all()
    for label, land in ((nameless, None), (named, None), (nameless, own), (named, shared), (named, -own - 1)):
        assert not are_leads(rows, label, land).any()


def test_openings_that_share_a_land_are_panes_at_any_pitch() -> None:
    place = np.array([[0, 0], [500_000, 0], [1_000_000, 0], [1_500_000, 0]])
    rows = rows_of(place, np.full(4, 0.3), np.full(4, 1.5), np.full(4, math.pi / 2), np.zeros(4, bool))
    assert are_leads(rows, np.zeros(4, int), np.array([0, 0, 1, -1])).tolist() == [False, False, True, True]


def test_the_wished_width_reads_the_limit() -> None:
    m = measured(*flashes(SLOT, line(0.5, 0, 1, 2)))
    wish = CHECK.wish(m, readings(CHECK, m), 0.57)
    # 0.57 x 0.5
    assert wish.narrowed_mm is not None
    assert wish.narrowed_mm.tolist() == pytest.approx([0.285] * 3)
    narrowed = measured(*flashes("R,0.285X1.5", line(0.5, 0, 1, 2)))
    assert values(CHECK, narrowed) == [0.57] * 3


def test_readings_of_flattened_outlines_stay_within_their_bound() -> None:
    # Slots with round ends: as obrounds exact; as regions with arcs flattened, and mixed with obrounds.
    def drawn(x: float) -> list[str]:
        left, right = f"X{1e6 * (x - 0.15):.0f}", f"X{1e6 * (x + 0.15):.0f}"
        return [
            "G36*", f"{left}Y600000D02*", "G01*", f"{left}Y-600000D01*", "G75*",
            f"G03*\n{right}Y-600000I150000J0D01*", f"G01*\n{right}Y600000D01*",
            f"G03*\n{left}Y600000I-150000J0D01*", "G37*",
        ]  # fmt: skip

    regions = [statement for k in range(3) for statement in drawn(0.5 * k)]
    mixed = [*regions, *flashes("O,0.3X1.5", line(0.5, 3, 4))]
    for layer in (regions, mixed):
        found = readings(CHECK, Measurements(cut_text(mm_layer(*layer)), FOIL))
        assert (np.abs(found.values - 0.6) <= found.error).all()
        assert found.error.max() < 0.005
