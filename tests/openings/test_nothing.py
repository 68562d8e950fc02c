"""Things drawn with no area open nothing, and are told with their lines."""

import pytest

from tests.drawn import codes_of, cut

GOOD = ("%ADD10C,1*%", "D10*", "X90000000Y0D03*")


@pytest.mark.parametrize(
    "drawn",
    [
        ("%AMM*", "1,0,1,0,0*%", "%ADD11M*%", "D11*", "X0Y0D03*"),  # takes away from nothing
        ("%AMM*", "1,1,1,0,0*", "1,0,2,0,0*%", "%ADD11M*%", "D11*", "X0Y0D03*"),  # takes all of it away
        ("%AMM*", "1,1,0,0,0*%", "%ADD11M*%", "D11*", "X0Y0D03*"),
        ("%ADD11C,0*%", "D11*", "G75*", "X1000000Y0D02*", "G03*", "X0Y1000000I-1000000J0D01*"),
        ("%ADD11C,0*%", "D11*", "X1000000Y0D02*", "G01*", "X0Y1000000D01*"),
        ("%ADD11R,0X1*%", "D11*", "X0Y0D03*"),
    ],
)
def test_what_has_no_area_opens_nothing_and_is_told(drawn: tuple[str, ...]) -> None:
    openings = cut(*GOOD, *drawn)
    assert len(openings) == 1
    assert codes_of(openings) == ["zero-size"]
