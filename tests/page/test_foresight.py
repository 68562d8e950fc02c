"""Numbers by which a layer is judged in other foils, and with less cut away."""

import numpy as np
import pytest

from pastecheck import foresight, rulesets
from pastecheck.measurements import Measurements
from pastecheck.prospects import INSETS_MM, Prospects
from tests.drawn import cut

RULES = rulesets.load("polyester-75-knife")
SLOT, ROUND, OBROUND = "%ADD10R,0.3X1.2*%", "%ADD11C,0.4*%", "%ADD12O,0.2X0.8*%"
HOURGLASS = (
    "G36*",
    "X0Y0D02*",
    "X500000Y200000D01*",
    "X1000000Y0D01*",
    "X1000000Y500000D01*",
    "X500000Y300000D01*",
    "X0Y500000D01*",
    "X0Y0D01*",
    "G37*",
)


def of(*drawn: str) -> Prospects:
    found = foresight.prospects(Measurements(cut(*drawn), RULES.foil), RULES)
    assert found is not None
    return found


def test_what_is_taken_off_goes_to_a_tenth_of_a_millimetre_in_steps_of_5_um() -> None:
    assert (INSETS_MM[0], INSETS_MM[1], len(INSETS_MM)) == (0.0, 0.005, 21)
    assert INSETS_MM[-1] == pytest.approx(0.1)


def test_standard_shapes_are_told_by_core_and_radius() -> None:
    outlines = of(SLOT, ROUND, OBROUND, "D10*", "X0Y0D03*", "D11*", "X3000000D03*", "D12*", "X6000000D03*")
    # a rectangle is its own core; a circle is a point and 0.2, an obround a line of 0.8 - 0.2 and 0.1
    found = sorted(
        (*core, radius)
        for core, radius in zip(
            outlines.outlines.core_mm.tolist(), outlines.outlines.radius_mm.tolist(), strict=True
        )
    )
    assert found == [
        pytest.approx((0.0, 0.0, 0.2)),
        pytest.approx((0.6, 0.0, 0.1)),
        pytest.approx((1.2, 0.3, 0.0)),
    ]
    assert outlines.outlines.table.tolist() == [-1, -1, -1]


def test_other_outlines_are_in_tables_exact_as_drawn() -> None:
    outlines = of(*HOURGLASS).outlines
    assert outlines.table.tolist() == [0]
    # two trapezia of 0.5 long, 0.5 and 0.1 high
    assert outlines.area_mm2[0, 0] == pytest.approx(2 * 0.5 * 0.3)
    # 0.05 off all around closes the waist of 0.1 and leaves two triangles, of which the narrower counts
    assert outlines.area_mm2[0, 12] < outlines.area_mm2[0, 9]
    assert (np.diff(outlines.area_mm2[0]) < 0).all()
    assert (np.diff(outlines.width_mm[0]) < 0).all()


def test_a_triangle_shrinks_with_the_radius_of_its_inscribed_circle() -> None:
    # sides 3, 4 and 5 tenths: area 0.06, perimeter 1.2, inscribed circle 2 x 0.06 / 1.2 = 0.1
    triangle = ("G36*", "X0Y0D02*", "X400000Y0D01*", "X0Y300000D01*", "X0Y0D01*", "G37*")
    outlines = of(*triangle).outlines
    share = 1 - INSETS_MM / 0.1
    assert outlines.area_mm2[0] == pytest.approx(0.06 * share**2, abs=1e-9)
    assert outlines.over_mm[0, :-1] == pytest.approx(0.05 * share[:-1], abs=1e-9)
    # its height over the longest side is 0.24
    assert outlines.width_mm[0, :-1] == pytest.approx(0.24 * share[:-1], abs=1e-6)
    assert outlines.width_mm[0, -1] == pytest.approx(0.0, abs=1e-6)


def test_webs_between_straight_sides_grow_by_twice_what_is_taken_off_and_need_no_table() -> None:
    webs = of(SLOT, "D10*", "X0Y0D03*", "X450000D03*").webs
    assert webs.gap_mm == pytest.approx([0.15])
    assert webs.table.tolist() == [-1]


def test_webs_between_corners_grow_by_more_and_have_a_table() -> None:
    # squares with corners (0.1, 0.1) apart: sqrt(2) x (0.1 + 2 d)
    webs = of("%ADD10R,1X1*%", "D10*", "X0Y0D03*", "X1100000Y1100000D03*").webs
    assert webs.table.tolist() == [0]
    assert webs.grown_mm[0] == pytest.approx(np.sqrt(2) * (0.1 + 2 * INSETS_MM))


def test_a_web_is_gone_with_one_of_its_openings() -> None:
    webs = of("%ADD10R,0.1X1*%", "%ADD11R,1X1*%", "D10*", "X0Y0D03*", "D11*", "X700000D03*").webs
    assert np.isnan(webs.grown_mm[0, 10:]).all()  # nothing is left of 0.1 with 0.05 off all around
    assert webs.grown_mm[0, 9] == pytest.approx(0.15 + 2 * 0.045)


def test_wide_leads_are_told_with_their_pitch() -> None:
    leads = of("%ADD10R,0.32X1.5*%", "D10*", *(f"X{500000 * nth}Y0D03*" for nth in range(6))).leads
    assert leads.fraction == pytest.approx([0.64] * 6)
    assert leads.pitch_mm == pytest.approx([0.5] * 6)


def test_only_checks_in_force_with_limits_are_judged_anew() -> None:
    rejudged = of(SLOT, "D10*", "X0Y0D03*").rejudged
    assert set(rejudged) <= set(foresight.REJUDGED)
    assert "deposit-height" not in rejudged  # nothing is known of lands
    assert "area-ratio" in rejudged


def test_of_very_many_openings_nothing_is_foretold(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(foresight, "MOST_OPENINGS", 1)
    openings = cut(SLOT, "D10*", "X0Y0D03*", "X3000000D03*")
    assert foresight.prospects(Measurements(openings, RULES.foil), RULES) is None


def test_of_very_many_odd_outlines_nothing_is_foretold(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(foresight, "MOST_TABLES", 0)
    assert foresight.prospects(Measurements(cut(*HOURGLASS), RULES.foil), RULES) is None
