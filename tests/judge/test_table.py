"""The table of openings tells the rows that a reader sees."""

import numpy as np

from pastecheck import gerber, rulesets
from pastecheck.judge import opening_table
from pastecheck.measurements import Measurements
from pastecheck.openings import cut_from
from pastecheck.report import OpeningTable
from tests.drawn import mm_layer

RULES = rulesets.load("polyester-75-knife")


def table_of(*lines: str) -> OpeningTable:
    openings = cut_from(gerber.read(mm_layer(*lines).encode(), "a.gbr"))
    return opening_table(Measurements(openings, RULES.foil), RULES)


def test_leads_at_an_even_pitch_are_a_row_though_one_is_missing_and_a_lone_opening_is_in_none() -> None:
    leads = [f"X{500_000 * k}Y0D03*" for k in (0, 1, 2, 4, 5, 6)]
    table = table_of("%ADD10R,0.25X1.5*%", "D10*", *leads, "X20000000Y0D03*")
    assert np.unique(table.row[:6]).size == 1
    assert table.row[6] == -1
    assert np.allclose(table.pitch_mm[:6], 0.5)
    assert np.isnan(table.pitch_mm[6])
    assert not table.in_grid.any()


def test_balls_are_a_grid() -> None:
    balls = [f"X{800_000 * x}Y{800_000 * y}D03*" for y in range(4) for x in range(4)]
    table = table_of("%ADD10C,0.4*%", "D10*", *balls)
    assert table.in_grid.all()
    assert (table.row >= 0).all()
