"""The way for the squeegee: along the slender webs, askew where they have no common direction."""

import math

import pytest

from tests.checks.among import flashes, line, measured, turned

SLOT = "R,0.25X1.5"
COLUMN = "R,1.5X0.25"


def degrees_of(*statements: str) -> float:
    stroke = measured(*statements).stroke
    assert stroke is not None
    return math.degrees(stroke.direction_rad)


def side(degrees: float, off_mm: float, count: int = 4, code: int = 10) -> list[str]:
    """A row of upright slots below the origin, turned about it; each web is 6 long for its width."""
    places = [(x - 0.25 * (count - 1), -off_mm) for x, _ in line(0.5, *range(count))]
    return [f"%LR{degrees:.6f}*%", *flashes(SLOT, turned(places, degrees), code=code), "%LR0*%"]


def test_webs_along_y_are_stroked_along_y() -> None:
    assert degrees_of(*side(0, 0)) == pytest.approx(90)


def test_webs_along_x_are_stroked_along_x() -> None:
    assert degrees_of(*flashes(COLUMN, [(0, 0), (0, 0.5)])) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("degrees", [10, 30, 60, 89, 91, 150])
def test_a_turned_part_turns_the_stroke(degrees: float) -> None:
    assert degrees_of(*side(degrees, 0)) == pytest.approx((90 + degrees) % 180, abs=1e-3)


def test_a_part_with_four_equal_sides_is_stroked_askew() -> None:
    drawn = [statement for k in range(4) for statement in side(90.0 * k, 5, code=10 + k)]
    stroke = measured(*drawn).stroke
    assert stroke is not None
    assert not stroke.prevails
    assert stroke.webs == 12
    assert stroke.direction_rad == pytest.approx(math.pi / 4)


def test_of_unequal_sides_the_longer_ones_decide() -> None:
    # 9 webs upright, 3 level, all alike: |Z| is 6 of 12, more than 0.3
    assert degrees_of(*side(0, 5, 10), *side(90, 8, 4, 11)) == pytest.approx(90)


def test_of_nearly_equal_sides_none_decides() -> None:
    # 5 webs upright, 4 level: 1 of 9 is less than 0.3
    stroke = measured(*side(0, 5, 6), *side(90, 8, 5, 11)).stroke
    assert stroke is not None
    assert not stroke.prevails


def test_a_slender_web_outweighs_many_stout_ones() -> None:
    # One web of 1.5 / 0.1 = 15 upright; 9 level ones of 6: 15^4 = 50625 against 9 x 1296 = 11664.
    slender = flashes("R,0.4X1.5", [(20, 0), (20.5, 0)], code=12)
    assert degrees_of(*side(90, 5, 10), *slender) == pytest.approx(90)


def test_stout_webs_have_no_say() -> None:
    assert measured(*flashes("R,0.5X1", line(1.0, 0, 1, 2))).stroke is None


def test_a_layer_without_webs_has_no_way() -> None:
    assert measured(*flashes("R,1X1", [(0, 0)])).stroke is None


def test_a_sliver_of_a_web_counts_no_more_than_25() -> None:
    # 1.5 / 0.01 = 150 upright counts as 25; 401 level webs of 6: 401 x 6^4 = 519,696 > 25^4 = 390,625
    sliver = flashes("R,0.49X1.5", [(200, 0), (200.5, 0)], code=12)
    stroke = measured(*side(90, 5, 402), *sliver).stroke
    assert stroke is not None
    assert not stroke.prevails
