"""Rows on one ladder: leads of one part though some are missing; by hand, and by laws."""

import math
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.drawing import IntArray
from pastecheck.geometry.ladders import ladders_of_rows
from pastecheck.geometry.rows import Rows, rows_of

NM_PER_MIL = 25_400
Lead = tuple[float, float, float]
"""Place in mm, and width; 1 mm long."""


def found(leads: Sequence[Lead], degrees: float = 0.0, grain_nm: int = 1) -> tuple[Rows, IntArray]:
    """Rows, and the ladder of each opening, -1 where it is in no row."""
    column = np.array(leads, np.float64).reshape(-1, 3)
    t = math.radians(degrees)
    turn = np.array([[math.cos(t), math.sin(t)], [-math.sin(t), math.cos(t)]])
    place = np.rint(column[:, :2] @ turn * 1e6 / grain_nm).astype(np.int64) * grain_nm
    size = np.column_stack([column[:, 2], np.ones(len(column))])
    rows = rows_of(
        place, size[:, 0], size[:, 1], np.full(len(column), t + math.pi / 2), np.zeros(len(column), bool)
    )
    ladder = ladders_of_rows(rows, place, size)
    return rows, np.where(rows.row >= 0, np.append(ladder, -1)[rows.row], -1)


def leads(*rungs: int, pitch: float = 0.5, y: float = 0.0, x: float = 0.0, width: float = 0.25) -> list[Lead]:
    return [(x + rung * pitch, y, width) for rung in rungs]


def test_rows_with_a_lead_missing_between_them_are_on_one_ladder() -> None:
    rows, ladder = found(leads(0, 1, 2, 3, 5, 6, 7))
    assert len(rows) == 2
    assert ladder.tolist() == [0] * 7


@pytest.mark.parametrize(("missing", "ladders"), [(1, 1), (4, 1), (6, 1), (7, 2)])
def test_up_to_six_leads_may_be_missing(missing: int, ladders: int) -> None:
    _, ladder = found(leads(0, 1, 2, 3, 4 + missing, 5 + missing, 6 + missing))
    assert len(set(ladder.tolist())) == ladders


@pytest.mark.parametrize("degrees", [0, 30, 90, 112.5, 135, 180, 271])
@pytest.mark.parametrize("grain_nm", [1, NM_PER_MIL])
def test_ladders_are_found_at_any_angle_and_in_files_rounded_to_mils(degrees: float, grain_nm: int) -> None:
    # 12, 3 and 8 leads of one part; the other side of it is another ladder
    one_side = [*range(12), *range(14, 17), *range(20, 28)]
    _, ladder = found([*leads(*one_side), *leads(*one_side, y=6.0)], degrees, grain_nm)
    assert len(set(ladder[:23].tolist())) == len(set(ladder[23:].tolist())) == 1
    assert ladder[0] != ladder[23]


def test_a_row_half_a_step_off_is_on_another_ladder() -> None:
    _, ladder = found([*leads(0, 1, 2, 3), *leads(0, 1, 2, 3, x=2.75)])
    assert ladder.tolist() == [0] * 4 + [1] * 4


def test_a_row_beside_the_line_is_on_another_ladder() -> None:
    _, ladder = found([*leads(0, 1, 2, 3), *leads(5, 6, 7, 8, y=0.1)])
    assert ladder.tolist() == [0] * 4 + [1] * 4


def test_a_row_of_other_pitch_is_on_another_ladder() -> None:
    _, ladder = found([*leads(0, 1, 2, 3), *leads(0, 1, 2, 3, pitch=0.65, x=2.5)])
    assert ladder.tolist() == [0] * 4 + [1] * 4


def test_wider_openings_are_on_another_ladder() -> None:
    _, ladder = found([*leads(0, 1, 2, 3), *leads(5, 6, 7, 8, width=0.3)])
    assert ladder.tolist() == [0] * 4 + [1] * 4


def test_no_rows_have_no_ladders() -> None:
    assert found([])[1].tolist() == []
    assert found(leads(0, 1))[1].tolist() == [-1, -1]


@given(st.lists(st.tuples(st.integers(3, 6), st.integers(1, 9)), min_size=1, max_size=6), st.floats(0, 360))
def test_a_ladder_goes_on_until_more_than_six_are_missing(
    parts: list[tuple[int, int]], degrees: float
) -> None:
    rungs: list[int] = []
    ladder: list[int] = []
    at = number = 0
    for count, missing in parts:
        rungs += range(at, at + count)
        ladder += [number] * count
        at += count + missing
        number += missing > 6
    assert found(leads(*rungs), degrees)[1].tolist() == ladder
