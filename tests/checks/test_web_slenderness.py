"""How slender webs are: worked out by hand, and the same however a layer is drawn."""

import math

import numpy as np
import pytest

from pastecheck.checks.web_slenderness import CHECK, Params
from tests.checks.among import flashes, line, measured, readings, turned, values

SLOT = "R,0.25X1.5"


def region(*corners_mm: tuple[float, float]) -> list[str]:
    first, *others = [f"X{1e6 * x:.0f}Y{1e6 * y:.0f}" for x, y in (*corners_mm, corners_mm[0])]
    return ["G36*", f"{first}D02*", "G01*", *(f"{corner}D01*" for corner in others), "G37*"]


@pytest.mark.parametrize("degrees", [0, 30, 45, 77.7, 90])
def test_a_pair_is_as_slender_at_any_angle(degrees: float) -> None:
    drawn = flashes(SLOT, turned([(0, 0), (0.5, 0)], degrees))
    drawn.insert(1, f"%LR{degrees:.6f}*%")
    # 1.5 / 0.25; places to a nanometre, of which 6 x 1 nm / 0.25 mm come
    assert values(CHECK, measured(*drawn)) == pytest.approx([6.0], abs=3e-5)


@pytest.mark.parametrize("degrees", [2, 5, 10])
def test_skewed_walls_are_read_as_far_as_they_are_near(degrees: float) -> None:
    # From a corner 0.1 away the wall leaves by t: it is 1.2 x 0.1 away after 0.2 x 0.1 / sin t.
    t = math.radians(degrees)
    far, up = (20 * math.cos(t), 0.1 + 20 * math.sin(t)), (20 * math.cos(t), 20)
    drawn = region((0, -1), (20, -1), (20, 0), (0, 0)) + region((0, 0.1), far, up, (0, 20))
    assert values(CHECK, measured(*drawn)) == pytest.approx([0.2 / math.sin(t)], rel=1e-4)


def test_a_row_is_read_web_by_web() -> None:
    assert values(CHECK, measured(*flashes(SLOT, line(0.5, 0, 1, 2, 3)))) == [6.0] * 3


def test_webs_that_another_opening_crosses_are_none() -> None:
    found = readings(CHECK, measured(*flashes("R,0.1X1", line(0.2, 0, 1, 2))))
    assert found.other is not None
    assert found.opening.tolist() == [0, 1]
    assert found.other.tolist() == [1, 2]


def test_a_web_at_the_reach_is_read_and_a_wider_one_is_not() -> None:
    assert values(CHECK, measured(*flashes("R,0.5X1.5", line(1.0, 0, 1)))) == [3.0]
    assert values(CHECK, measured(*flashes("R,0.498X1.5", line(1.0, 0, 1)))) == []
    assert values(CHECK, measured(*flashes("R,0.4X1.5", line(1.0, 0, 1))), Params(gaps_up_to_mm=0.6)) == [2.5]


def test_obrounds_face_each_other_along_their_sides_and_a_part_of_their_ends() -> None:
    # Sides of 1 at 0.3; on an end as far as 60 degrees off the nearest point of the other. From the triangle
    # of the centres, 0.5 apart, and that point: 0.5 cos(a + 30) = 0.1 sin 60, a = 50.03 degrees.
    end = math.acos(0.1 * math.sin(math.pi / 3) / 0.5) - math.pi / 6
    found = values(CHECK, measured(*flashes("O,0.2X1.2", line(0.5, 0, 1))))
    assert found == pytest.approx([(1 + 0.2 * end) / 0.3], abs=1e-6)


def test_a_circle_beside_a_side_is_read_on_the_side_that_is_shorter() -> None:
    # Circle of R 0.2, its centre 0.5 above a side: g = 0.3, near is 0.36. Of the circle what is at most 0.36
    # above: R cos a >= 0.14, a = 45.57 degrees, 2 R a = 0.3182. Of the side what is within 0.56 of the
    # centre: 2 root(0.56² - 0.5²) = 0.5044, and no farther off than 60 degrees: root(3) x 0.5 is more.
    drawn = flashes("R,2X1", [(0, -0.5)]) + flashes("C,0.4", [(0, 0.5)], code=11)
    assert values(CHECK, measured(*drawn)) == pytest.approx([0.4 * math.acos(0.14 / 0.2) / 0.3], abs=1e-6)


def test_a_step_in_the_wall_across_counts_if_it_is_within_reach() -> None:
    # Wall of 2 mm; across from it 1 mm at 0.2 and 1 mm at 0.23, which is within 1.2 x 0.2, or at 0.25, which
    # is not.
    def drawn(farther: float) -> list[str]:
        stepped = region((0, 0.2), (1, 0.2), (1, farther), (2, farther), (2, 1), (0, 1))
        return [*flashes("R,2X1", [(1, -0.5)]), *stepped]

    assert values(CHECK, measured(*drawn(0.23))) == pytest.approx([2 / 0.2], abs=1e-6)
    # the wall has 0.1327 more, what is within 0.24 of the corner, but the step is the shorter of the two
    assert values(CHECK, measured(*drawn(0.25))) == pytest.approx([1 / 0.2], abs=1e-6)


def test_touching_openings_have_no_web() -> None:
    assert np.isnan(values(CHECK, measured(*flashes("R,1X1", [(0, 0), (1, 1)])))).all()


def test_neither_order_nor_mirroring_changes_a_reading() -> None:
    square, slot = flashes("R,0.4X0.4", [(0, 0)]), flashes("O,0.3X1", [(0.55, 0.2)], code=11)
    mirrored = flashes("R,0.4X0.4", [(0, 0)]), flashes("O,0.3X1", [(-0.55, 0.2)], code=11)
    found = {
        values(CHECK, measured(*one, *two))[0] for one, two in ((square, slot), (slot, square), mirrored)
    }
    assert len(found) == 1


def test_the_wished_openings_read_the_limit() -> None:
    m = measured(*flashes("R,0.3X1.5", line(0.5, 0, 1)))
    failed = readings(CHECK, m)
    # 1.5 / 0.2 = 7.5; at a limit of 6 the web is 0.25: each gives way by 0.025
    assert failed.values.tolist() == pytest.approx([7.5])
    wish = CHECK.wish(m, failed, 6.0)
    assert wish.give_way_mm is not None
    assert wish.give_way_mm.tolist() == pytest.approx([0.025])
    assert wish.advice is not None
    assert wish.advice.tolist() == ["print and weed along the web"]


def arc(radius_mm: float, x_mm: float) -> list[str]:
    """A disc as a region, whose curve is flattened."""
    start, i = f"X{1e6 * (x_mm + radius_mm):.0f}Y0", f"I{-1e6 * radius_mm:.0f}J0"
    return ["G36*", f"{start}D02*", "G75*", f"G03{start}{i}D01*", "G01*", "G37*"]


def facing_rad(radius_mm: float, gap_mm: float) -> float:
    """How far from its middle a circle faces an equal one: until it is too far, or 60 degrees off."""
    p, reach = 2 * radius_mm + gap_mm, radius_mm + 1.2 * gap_mm
    near = math.acos((p * p + radius_mm**2 - reach**2) / (2 * p * radius_mm))
    return min(near, math.acos(radius_mm * math.sin(math.pi / 3) / p) - math.pi / 6)


@pytest.mark.parametrize("radius_mm", [0.1, 0.25, 0.6, 2.0])
@pytest.mark.parametrize("gap_mm", [0.05, 0.2, 0.45])
def test_flattened_curves_are_read_to_their_bound(radius_mm: float, gap_mm: float) -> None:
    # A bar across each disc, behind what faces the other, makes a shape of no standard kind.
    def cap(x: float) -> list[str]:
        return arc(radius_mm, x) + flashes(f"R,0.01X{2 * radius_mm + 0.02:.6f}", [(x, 0)], code=11)

    exact = 2 * radius_mm * facing_rad(radius_mm, gap_mm) / gap_mm
    found = readings(CHECK, measured(*cap(0), *cap(2 * radius_mm + gap_mm)))
    assert abs(found.values[0] - exact) <= found.error[0]
    assert found.error[0] < 0.4 * exact


@pytest.mark.parametrize("radius_mm", [0.1, 0.25, 2.0])
def test_circles_are_read_in_closed_form(radius_mm: float) -> None:
    drawn = flashes(f"C,{2 * radius_mm}", [(0, 0), (2 * radius_mm + 0.4, 0)])
    exact = 2 * radius_mm * facing_rad(radius_mm, 0.4) / 0.4
    assert values(CHECK, measured(*drawn)) == pytest.approx([exact], abs=1e-6)
