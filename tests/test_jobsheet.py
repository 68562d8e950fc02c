"""What a layer comes to, and how it is cut and printed: worked out by hand."""

from dataclasses import replace

import numpy as np
import pytest

from pastecheck import gerber, rulesets
from pastecheck.bench import Job, Totals
from pastecheck.checks import deposit_volume, sheet_fit
from pastecheck.jobsheet import AS_SMALL, job, totals
from pastecheck.judge import Source, layer_report
from pastecheck.measurements import Measurements, Sheet
from pastecheck.openings import cut_from
from pastecheck.rulesets import Cutting, Pass, RuleSet
from tests.drawn import mm_layer

RULES = replace(rulesets.load("polyester-75-knife"), cutting=None, sheet=None)

SQUARE = ["%ADD10R,1X1*%", "D10*", "X0Y0D03*"]
"""A square of 1 mm about the origin."""
RING = ["%ADD11C,1.6X1.0*%", "D11*", "X5000000Y0D03*"]
"""An opening of 1.6 mm across with film of 1 mm across in it."""


def measured(*lines: str) -> Measurements:
    return Measurements(cut_from(gerber.read(mm_layer(*lines).encode(), "a.gbr")), RULES.foil)


def totals_of(*lines: str, rule_set: RuleSet = RULES) -> Totals:
    return totals(measured(*lines), rule_set, None)


def job_of(*lines: str, rule_set: RuleSet = RULES, side: str = "top") -> Job:
    m = measured(*lines)
    return job(m, rule_set, totals(m, rule_set, None), side)


# ---------------------------------------------------------------------------------------------------- totals


def test_film_inside_an_opening_has_an_outline_of_its_own() -> None:
    # 1 about the square, 2 of the ring; 4 x 1 and pi x (1.6 + 1.0)
    found = totals_of(*SQUARE, *RING)
    assert found.outlines == 3
    assert found.cut_length_mm == pytest.approx(4 + np.pi * 2.6, abs=1e-3)


def test_paste_is_what_the_openings_hold() -> None:
    # 1 mm2 x 0.075 mm; 4.14 mg/mm3
    found = totals_of(*SQUARE)
    assert found.opening_volume_mm3 == pytest.approx(0.075)
    assert found.deposit_volume_mm3 == pytest.approx(0.075)
    assert found.paste_mg == pytest.approx(0.3105)
    assert (found.paste_g_cm3, found.has_efficiency) == (4.14, False)


def test_a_published_deposit_has_the_mass_that_is_published() -> None:
    # Indium, Calculating Solder Paste Usage: 0.012 x 0.012 x 0.004 in = 9.439e-6 cm3, x 4.14 = 3.91e-5 g
    rule_set = RULES.with_thickness(0.1016)
    lines = "%ADD10R,0.3048X0.3048*%", "D10*", "X0Y0D03*"
    m = Measurements(cut_from(gerber.read(mm_layer(*lines).encode(), "a.gbr")), rule_set.foil)
    found = totals(m, rule_set, None)
    assert found.deposit_volume_mm3 == pytest.approx(9.439e-3, rel=1e-3)
    assert found.paste_mg == pytest.approx(3.91e-2, rel=1e-3)


def test_transfer_efficiency_and_density_are_those_of_the_rule_set() -> None:
    # half of 0.075 mm3 is printed; 5 mg/mm3
    (rule,) = [rule for rule in RULES.rules if rule.check == "deposit-volume"]
    settings = deposit_volume.Params(transfer_efficiency=((0.0, 0.5),), density_g_cm3=5.0)
    other = replace(RULES, rules=tuple(replace(r, params=settings) if r is rule else r for r in RULES.rules))
    found = layer_report(measured(*SQUARE), other, Source("a.gbr", "5e" * 32, "top")).totals
    assert found is not None
    assert found.deposit_volume_mm3 == pytest.approx(0.0375)
    assert found.opening_volume_mm3 == pytest.approx(0.075)
    assert found.paste_mg == pytest.approx(0.1875)
    assert (found.paste_g_cm3, found.has_efficiency) == (5.0, True)


def test_a_rule_set_without_deposit_volume_has_totals_too() -> None:
    other = replace(RULES, rules=tuple(rule for rule in RULES.rules if rule.check != "deposit-volume"))
    found = layer_report(measured(*SQUARE), other, Source("a.gbr", "5e" * 32, "top")).totals
    assert found is not None
    assert found.deposit_volume_mm3 == pytest.approx(0.075)
    assert not found.has_efficiency


# ------------------------------------------------------------------------------------------------------ time


def test_cutting_takes_passes_times_length_over_speed_and_a_lift_for_each_outline_and_pass() -> None:
    # 2 x 4 mm / 20 mm/s + 2 x 1 x 0.3 s = 0.4 + 0.6 s, less or more by 30 %
    rule_set = replace(RULES, cutting=Cutting(passes=(Pass(20.0), Pass(20.0)), lift_s=0.3))
    time = job_of(*SQUARE, rule_set=rule_set).time
    assert time is not None
    assert time.lifts == 2
    assert time.seconds == pytest.approx(1.0)
    assert time.within_s == pytest.approx((0.7, 1.3))


def test_passes_of_different_speeds_take_the_time_of_each() -> None:
    # 4 mm / 20 mm/s + 4 mm / 5 mm/s + 2 x 0.3 s = 0.2 + 0.8 + 0.6 s; two passes of 8 mm/s would take as long
    rule_set = replace(RULES, cutting=Cutting(passes=(Pass(20.0), Pass(5.0)), lift_s=0.3))
    time = job_of(*SQUARE, rule_set=rule_set).time
    assert time is not None
    assert time.seconds == pytest.approx(1.6)
    assert time.speed_mm_s == pytest.approx(8.0)
    assert time.speeds_mm_s == (20.0, 5.0)


def test_a_rule_set_that_gives_no_speed_gives_no_time() -> None:
    assert job_of(*SQUARE, rule_set=replace(RULES, cutting=None)).time is None
    half = Cutting(passes=(Pass(20.0), Pass()))
    assert job_of(*SQUARE, rule_set=replace(RULES, cutting=half)).time is None


def test_settings_of_the_machine_stand_on_the_job_sheet_as_they_were_written() -> None:
    cutting = Cutting(
        passes=(Pass(20.0, force="40 gf"), Pass(10.0, force="90 gf"), Pass(10.0, power="8 %"), Pass()),
        blade="60 degrees",
        blade_depth="0.10 mm",
        carrier="worn",
        notes=("new blade", "cut in the morning"),
    )
    settings = job_of(*SQUARE, rule_set=replace(RULES, cutting=cutting)).settings
    assert [(one.name, one.text) for one in settings] == [
        ("blade", "60 degrees, 0.10 mm deep"),
        ("passes", "1: 40 gf at 20 mm/s; 2: 90 gf at 10 mm/s; 3: 8 % at 10 mm/s; 4: not said"),
        ("carrier", "worn"),
        ("note", "new blade"),
        ("note", "cut in the morning"),
    ]


def test_what_only_gives_the_time_is_not_told_again() -> None:
    assert job_of(*SQUARE, rule_set=rulesets.load("polyester-75-knife")).settings == ()


# -------------------------------------------------------------------------------------------------- smallest


def many(*apertures: str) -> list[str]:
    """Two openings of each aperture, the first at (0, 0) and (2, 0), the next 2 mm further up."""
    lines = [f"%ADD{10 + k}{aperture}*%" for k, aperture in enumerate(apertures)]
    for k in range(len(apertures)):
        lines += [f"D{10 + k}*", f"X0Y{2 * k}000000D03*", f"X2000000Y{2 * k}000000D03*"]
    return lines


def test_the_smallest_openings_are_those_of_the_smallest_areas_and_counted() -> None:
    # 0.1, 0.1257 and 0.19 mm2; 0.25 mm2 is more than twice the first
    small = job_of(*many("R,0.5X0.5", "R,0.19X1", "C,0.4", "R,0.25X0.4")).smallest
    assert [(round(one.width_mm, 6), round(one.length_mm, 6), one.is_round, one.count) for one in small] == [
        (0.25, 0.4, False, 2),
        (0.4, 0.4, True, 2),
        (0.19, 1.0, False, 2),
    ]
    assert small[0].within_mm == pytest.approx((0.0, 6.0, 2.0, 6.0))
    assert [one.opening for one in small] == [7, 5, 3]


def test_of_many_sizes_only_the_smallest_are_named() -> None:
    small = job_of(*many("R,0.5X0.5", "R,0.5X0.52", "R,0.5X0.54", "R,0.5X0.56")).smallest
    assert [round(one.length_mm, 2) for one in small] == [0.5, 0.52, 0.54]


def test_what_is_much_larger_is_not_among_the_smallest() -> None:
    side = round(0.5 * AS_SMALL**0.5 + 0.01, 2)
    small = job_of(*many("R,0.5X0.5", f"R,{side}X{side}")).smallest
    assert [one.width_mm for one in small] == [pytest.approx(0.5)]


def test_the_smallest_are_told_with_the_components_that_the_file_names() -> None:
    named = ["%ADD10R,0.5X0.5*%", "D10*", "%TO.C,R2*%", "X0Y0D03*", "%TO.C,R1*%", "X2000000Y0D03*"]
    (small,) = job_of(*named, "%TD*%", "X4000000Y0D03*").smallest
    assert (small.count, small.components) == (3, ("R1", "R2"))


# -------------------------------------------------------------------------------------------------- squeegee


def slots(aperture: str, count: int, step_nm: tuple[int, int], at_nm: tuple[int, int] = (0, 0)) -> list[str]:
    """A row of openings of one aperture."""
    code = 10 + sum(map(ord, aperture)) % 900
    flashes = [f"X{at_nm[0] + k * step_nm[0]}Y{at_nm[1] + k * step_nm[1]}D03*" for k in range(count)]
    return [f"%ADD{code}{aperture}*%", f"D{code}*", *flashes]


def test_the_squeegee_goes_along_the_slender_webs() -> None:
    # 0.25 x 1.5 mm side by side along x at 0.5 mm: webs of 1.5 / 0.25 = 6, along y
    found = job_of(*slots("R,0.25X1.5", 5, (500_000, 0))).squeegee
    assert found is not None
    assert found.direction_deg == pytest.approx(90.0)
    assert (found.webs, found.prevails) == (4, True)


def test_about_a_part_with_four_equal_sides_the_squeegee_goes_askew() -> None:
    upright, level = (
        slots("R,0.25X1.5", 5, (500_000, 0)),
        slots("R,1.5X0.25", 5, (0, 500_000), (5_000_000, 0)),
    )
    found = job_of(*upright, *level).squeegee
    assert found is not None
    assert found.direction_deg == pytest.approx(45.0)
    assert (found.webs, found.prevails) == (8, False)


def test_a_stroke_along_x_is_one_of_0_degrees() -> None:
    found = job_of(*slots("R,1.5X0.25", 5, (0, 500_000))).squeegee
    assert found is not None
    assert found.direction_deg == pytest.approx(0.0)


def test_without_slender_webs_the_squeegee_goes_any_way() -> None:
    assert job_of(*SQUARE).squeegee is None


# ----------------------------------------------------------------------------------------------------- sheet


def test_the_smallest_sheet_has_the_margin_and_what_is_out_of_reach_all_round() -> None:
    # openings reach 3 x 7 mm; 2 x (15 + 5) more
    rule_set = replace(RULES, sheet=Sheet(210.0, 297.0, 5.0))
    sheet = job_of(*many("R,1X1", "R,1X1", "R,1X1", "R,1X1"), rule_set=rule_set).sheet
    assert (sheet.short_mm, sheet.long_mm) == pytest.approx((43.0, 47.0))
    assert (sheet.margin_mm, sheet.unusable_mm) == (15.0, 5.0)
    # 200 - 3 - 30 and 287 - 7 - 30 mm are to spare as it lies; turned, 200 - 7 - 30
    assert sheet.spare_mm == pytest.approx(167.0)
    assert not sheet.is_turned
    assert sheet.own_mm == (210.0, 297.0)


def test_without_a_sheet_in_the_rule_set_nothing_is_to_spare() -> None:
    sheet = job_of(*SQUARE).sheet
    assert (sheet.spare_mm, sheet.is_turned, sheet.own_mm) == (None, False, None)


def test_the_margin_is_that_of_the_rule_set() -> None:
    rules = [
        replace(rule, params=sheet_fit.Params(margin_mm=20.0)) if rule.check == "sheet-fit" else rule
        for rule in RULES.rules
    ]
    sheet = job_of(*SQUARE, rule_set=replace(RULES, rules=tuple(rules))).sheet
    assert (sheet.margin_mm, sheet.short_mm) == pytest.approx((20.0, 41.0))


def test_a_rule_set_without_sheet_fit_has_a_margin_too() -> None:
    rules = tuple(rule for rule in RULES.rules if rule.check != "sheet-fit")
    assert job_of(*SQUARE, rule_set=replace(RULES, rules=rules)).sheet.margin_mm == 15.0


# ------------------------------------------------------------------------------------------------------ side


@pytest.mark.parametrize(("side", "mirrored"), [("top", False), ("bottom", True), ("unknown", None)])
def test_a_bottom_layer_is_cut_mirrored(side: str, *, mirrored: bool | None) -> None:
    assert job_of(*SQUARE, side=side).is_mirrored is mirrored
