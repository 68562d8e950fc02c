"""Openings crowded beyond all sense are refused before their neighbours take all time and memory."""

import pytest

from pastecheck.geometry.bounded import TooMuchError
from pastecheck.limits import Limits
from pastecheck.measurements import Foil, Measurements
from tests.drawn import cut

FOIL = Foil("foil", "polyester", 0.075)
DOTS = ("%ADD10C,0.03*%", "D10*", "%SRX60Y60I0.035J0.035*%", "X0Y0D03*", "%SR*%")
"""3,600 openings of 0.03 mm; within 0.3 mm each has some 200 others, that makes 3600 x 200 / 2 pairs."""


def test_openings_with_hundreds_of_neighbours_each_are_refused() -> None:
    with pytest.raises(TooMuchError, match="so close together") as refused:
        Measurements(cut(*DOTS), FOIL, Limits(neighbours=1_000_000)).webs_within(0.3)
    assert "--limit neighbours=" in refused.value.hint


def test_more_pairs_than_the_limit_are_refused_before_they_take_memory() -> None:
    with pytest.raises(TooMuchError, match=r"pairs of openings lie within 0\.3 mm"):
        Measurements(cut(*DOTS), FOIL, Limits(neighbours=10_000)).webs_within(0.3)
