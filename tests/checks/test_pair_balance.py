"""Which two openings are those of one part, and how even they are: worked out by hand."""

import math

import numpy as np
import pytest

from pastecheck.checks.pair_balance import CHECK
from pastecheck.measurements.couples import Placed, parts_of_two_lands
from tests.checks.among import Place, flashes, measured, readings, turned, values

CHIP = "R,0.5X0.65"
NONE: list[float] = []


def pair(
    distance_mm: float, other: str = CHIP, *, label: str = "", at: Place = (0, 0), code: int = 10
) -> list[str]:
    one = flashes(CHIP, [at], label=label, code=code)
    return one + flashes(other, [(at[0] + distance_mm, at[1])], label=label, code=code + 1)


@pytest.mark.parametrize("degrees", [0, 33, 45, 90, 158])
def test_a_chip_is_found_at_any_angle(degrees: float) -> None:
    drawn = flashes(CHIP, turned([(0, 0), (1, 0)], degrees))
    drawn.insert(1, f"%LR{degrees}*%")
    assert values(CHECK, measured(*drawn)) == [1.0]


def test_the_smaller_is_read_over_the_larger_whichever_comes_first() -> None:
    # 0.27 / 0.325
    for order in ((0, 1), (1, 0)):
        both = [flashes(CHIP, [(0, 0)]), flashes("R,0.45X0.6", [(1, 0)], code=11)]
        assert values(CHECK, measured(*both[order[0]], *both[order[1]])) == [0.830769]


def test_two_that_are_too_far_apart_are_no_part() -> None:
    assert values(CHECK, measured(*pair(2.2))) == [1.0]
    assert values(CHECK, measured(*pair(2.201))) == NONE


def test_two_of_one_name_may_lie_farther_apart() -> None:
    assert values(CHECK, measured(*pair(3.5, label="R1"))) == [1.0]
    assert values(CHECK, measured(*pair(3.501, label="R1"))) == NONE


def test_sides_may_differ_by_30_percent_unless_a_name_says_more() -> None:
    # 0.35 is 0.7 of 0.5
    assert values(CHECK, measured(*pair(1, "R,0.35X0.65"))) == [0.7]
    assert values(CHECK, measured(*pair(1, "R,0.34X0.65"))) == NONE
    assert values(CHECK, measured(*pair(1, "R,0.34X0.65", label="D1"))) == [0.68]


def test_two_that_do_not_face_each_other_are_no_part() -> None:
    assert values(CHECK, measured(*flashes(CHIP, [(0, 0), (1, 0.06)]))) == [1.0]
    assert values(CHECK, measured(*flashes(CHIP, [(0, 0), (1, 0.061)]))) == NONE


def test_a_third_like_opening_about_as_near_leaves_it_open_which_two_belong_together() -> None:
    assert values(CHECK, measured(*flashes(CHIP, [(0, 0), (1, 0), (2.19, 0)]))) == NONE
    assert values(CHECK, measured(*flashes(CHIP, [(0, 0), (1, 0), (2.2, 0)]))) == [1.0]


def test_an_unlike_opening_beside_them_is_no_third() -> None:
    drawn = [*flashes(CHIP, [(0, 0), (1, 0)]), *flashes("R,2X2", [(2.5, 0)], code=11)]
    assert values(CHECK, measured(*drawn)) == [1.0]


def test_chips_closer_side_by_side_than_their_lands_are_not_guessed() -> None:
    places = [(x, y) for y in (0, 0.8, 1.6) for x in (0.0, 1.0)]
    assert values(CHECK, measured(*flashes(CHIP, places))) == NONE


def test_names_tell_chips_apart_however_close_they_are() -> None:
    drawn = [s for k in range(3) for s in pair(1, label=f"R{k}", at=(0, 0.8 * k), code=10 + 2 * k)]
    found = readings(CHECK, measured(*drawn))
    assert found.values.tolist() == [1.0] * 3
    assert found.other is not None
    assert [(int(a), int(b)) for a, b in zip(found.opening, found.other, strict=True)] == [
        (0, 1),
        (2, 3),
        (4, 5),
    ]


def test_two_openings_of_different_names_are_no_part() -> None:
    drawn = flashes(CHIP, [(0, 0)], label="R1") + flashes(CHIP, [(1, 0)], label="R2", code=11)
    assert values(CHECK, measured(*drawn)) == NONE


def test_a_part_of_three_lands_has_no_pair() -> None:
    assert values(CHECK, measured(*flashes(CHIP, [(0, 0), (1.9, 0), (0.95, 2)], label="Q1"))) == NONE


def test_four_lands_of_one_name_close_to_one_another_are_one_part() -> None:
    places = [(0, 0), (2.2, 0), (0, 1.7), (2.2, 1.7)]
    assert values(CHECK, measured(*flashes(CHIP, places, label="Y1"))) == NONE


def test_copies_of_a_part_on_other_boards_are_parts_of_their_own() -> None:
    drawn = pair(1, "R,0.45X0.65", label="C7") + pair(1, "R,0.45X0.65", label="C7", at=(30, 0), code=20)
    assert values(CHECK, measured(*drawn)) == [0.9, 0.9]


def test_an_odd_one_of_a_name_leaves_it_open() -> None:
    drawn = pair(1, label="C7") + flashes(CHIP, [(30, 0)], label="C7", code=20)
    assert values(CHECK, measured(*drawn)) == NONE


def test_many_openings_of_one_name_are_no_chips() -> None:
    grid = [(0.8 * x, 0.8 * y) for x in range(12) for y in range(12)]
    assert values(CHECK, measured(*flashes("C,0.4", grid, label="U1"))) == NONE


def test_round_openings_face_each_other_in_any_direction() -> None:
    assert values(CHECK, measured(*flashes("C,0.5", [(0, 0), (0.7, 0.7)]))) == [1.0]


def test_the_reading_is_taken_between_the_two() -> None:
    found = readings(CHECK, measured(*pair(1)))
    assert found.place_mm is not None
    assert found.place_mm.tolist() == [[0.5, 0.0]]


def placed(*openings: tuple[float, float, float, float]) -> Placed:
    """Openings by place, width and height."""
    x, y, width, height = np.array(openings).T
    direction = np.where(height > width, math.pi / 2, 0.0)
    sides = np.minimum(width, height), np.maximum(width, height)
    return Placed(np.column_stack([x, y]), *sides, direction, width * height, 0 * x, np.zeros(len(x), int))


def test_what_lies_on_one_land_counts_as_one() -> None:
    # The left land has two panes of 0.5 x 0.3, the right one an opening of 0.5 x 0.7: 0.30 of 0.35.
    three = placed((0, -0.2, 0.5, 0.3), (0, 0.2, 0.5, 0.3), (1, 0, 0.5, 0.7))
    parts = parts_of_two_lands(three, np.array([4, 4, 7]))
    assert (parts.first.tolist(), parts.second.tolist()) == ([0], [2])
    assert parts.area_mm2.tolist() == [pytest.approx([0.3, 0.35])]
    assert parts.place_mm.tolist() == [pytest.approx([0.5, 0.0])]


def test_panes_across_the_part_count_as_one_too() -> None:
    three = placed((0, 0, 0.2, 0.7), (0.3, 0, 0.2, 0.7), (1.15, 0, 0.5, 0.7))
    parts = parts_of_two_lands(three, np.array([0, 0, 1]))
    assert parts.area_mm2.tolist() == [pytest.approx([0.28, 0.35])]


def test_openings_on_no_land_stand_for_themselves() -> None:
    two = placed((0, 0, 0.5, 0.7), (1, 0, 0.5, 0.7))
    assert len(parts_of_two_lands(two, np.array([-1, -1])).first) == 1


def test_flattened_outlines_are_read_to_their_bound() -> None:
    # Discs as regions with a tooth of 0.1 x 0.1 that juts out by 0.05: no standard shape, so arcs are
    # flattened. Area: the disc, and the tooth up to 0.1 x (r + 0.05) less what of it lies in the disc.
    def disc(radius: float, x: float) -> list[str]:
        start, centre = f"X{1e6 * (x + radius):.0f}Y0", f"I{-1e6 * radius:.0f}J0"
        tooth = flashes("R,0.1X0.1", [(x, radius)], label="D1", code=11)
        return ["G36*", f"{start}D02*", "G75*", f"G03{start}{centre}D01*", "G01*", "G37*", *tooth]

    def area(radius: float) -> float:
        # the integral over the tooth's width of (r + 0.05) - root(r² - u²)
        half = 0.05
        under = half * math.sqrt(radius**2 - half**2) + radius**2 * math.asin(half / radius)
        return math.pi * radius**2 + 0.1 * (radius + 0.05) - under

    found = readings(CHECK, measured("%TO.C,D1*%", *disc(0.3, 0), "%TO.C,D1*%", *disc(0.28, 1.0)))
    assert abs(found.values[0] - area(0.28) / area(0.3)) <= found.error[0]
    assert 1e-9 < found.error[0] < 0.005
