from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.check import Check, Example, NoParams, Readings, Scope, Unit, Wish, Worse
from pastecheck.judge import Source, judge, layer_report, summary
from pastecheck.measurements import Measurements
from pastecheck.report import Finding, Level, RuleOutcome
from pastecheck.source import Diagnostic, DiagnosticLevel, Span
from tests.judge.slots import KNIFE_75, Slot, measured, rule, rule_set

LIMIT = 0.17


def reads(
    *values: float, error: float = 1e-9, unit: Unit = Unit.MM, worse: Worse = Worse.BOTH
) -> dict[str, Check]:
    """A check that reads these values of the first openings, whatever the layer."""

    def measure(_m: Measurements, _scope: Scope[NoParams]) -> Readings:
        return Readings.of_each(np.array(values), error)

    def wish(_m: Measurements, _failed: Readings, _limit: float) -> Wish:
        return Wish()

    check = Check(
        title="Given value",
        quantity="given value",
        unit=unit,
        worse=worse,
        definition="the test",
        error_bound="as given",
        measure=measure,
        wish=wish,
        examples=(Example("none", "", ()),),
    )
    return {"given": check}


TEN = [Slot(k, 0.0, 0.5, 0.5) for k in range(10)]


def judged(checks: dict[str, Check], **limits: float) -> RuleOutcome:
    """What a rule of the given check finds in a row of ten openings."""
    return judge(measured(TEN), rule_set(rule("given", **limits)), checks)[0]


def judged_in_inches(checks: dict[str, Check], **limits: float) -> RuleOutcome:
    """The same in a file that is written in inches."""
    return judge(measured(TEN, in_inches=True), rule_set(rule("given", **limits)), checks)[0]


def levels(outcome: RuleOutcome) -> dict[int, Level]:
    """The level of each finding, by the row of its opening, from 0."""
    return {(finding.opening or 0) - 1: finding.level for finding in outcome.findings}


def found(slots: Sequence[Slot], check: str, **given: bool) -> tuple[Finding, ...]:
    """Findings of one check of the rule set for film of 75 um."""
    outcomes = judge(measured(slots, **given), KNIFE_75)
    return next(outcome.findings for outcome in outcomes if outcome.check == check)


def test_a_reading_at_its_limit_passes_and_is_close() -> None:
    outcome = judged(reads(LIMIT), error_below=LIMIT)
    assert (outcome.findings, outcome.close) == ((), 1)


@pytest.mark.parametrize(("side", "sign"), [("error_below", -1), ("error_above", 1)])
def test_a_reading_past_its_limit_by_less_than_its_error_bound_passes_and_is_close(
    side: str, sign: int
) -> None:
    outcome = judged(reads(LIMIT + sign * 0.0001, error=0.0002), **{side: LIMIT})
    assert (outcome.findings, outcome.close) == ((), 1)


@pytest.mark.parametrize(("side", "sign"), [("error_below", -1), ("error_above", 1)])
def test_a_reading_past_its_limit_by_more_than_its_error_bound_fails(side: str, sign: int) -> None:
    outcome = judged(reads(LIMIT + sign * 0.0003, error=0.0002), **{side: LIMIT})
    assert (levels(outcome), outcome.close) == ({0: Level.ERROR}, 0)


def test_a_reading_on_the_good_side_within_its_error_bound_is_close_too() -> None:
    assert judged(reads(LIMIT + 0.0001, error=0.0002), error_below=LIMIT).close == 1


def test_a_reading_past_the_error_limit_is_no_warning_as_well() -> None:
    outcome = judged(reads(0.1, 0.2, 0.3), error_below=0.17, warn_below=0.225)
    assert levels(outcome) == {0: Level.ERROR, 1: Level.WARNING}


def test_a_reading_close_to_the_error_limit_is_a_warning_and_close() -> None:
    outcome = judged(reads(0.17), error_below=0.17, warn_below=0.225)
    assert (levels(outcome), outcome.close) == ({0: Level.WARNING}, 1)


def test_limits_on_both_sides_hold() -> None:
    limits = {"error_below": 0.35, "warn_below": 0.6, "warn_above": 1.15, "error_above": 1.5}
    outcome = judged(reads(0.3, 0.5, 1.0, 1.2, 1.6), **limits)
    assert levels(outcome) == {0: Level.ERROR, 1: Level.WARNING, 3: Level.WARNING, 4: Level.ERROR}
    assert {finding.opening: finding.limit for finding in outcome.findings} == {
        1: 0.35,
        2: 0.6,
        4: 1.15,
        5: 1.5,
    }


def test_what_does_not_apply_is_counted() -> None:
    outcome = judged(reads(0.1, float("nan"), 0.3, float("nan")), error_below=0.17)
    assert (outcome.measured, outcome.not_applicable, levels(outcome)) == (2, 2, {0: Level.ERROR})


def test_a_check_that_reads_something_infinite_is_broken() -> None:
    with pytest.raises(ValueError, match="given reads something infinite"):
        judged(reads(float("inf")), error_above=1.0)


def test_findings_come_worst_first_then_by_row() -> None:
    outcome = judged(reads(0.2, 0.1, 0.05, 0.1), error_below=0.17, warn_below=0.225)
    assert [finding.opening for finding in outcome.findings] == [3, 2, 4, 1]


@pytest.mark.parametrize(
    ("worse", "limits", "worst"),
    [
        (Worse.BELOW, {"error_below": 0.1}, 0.2),
        (Worse.ABOVE, {"warn_above": 2.0}, 0.9),
        (Worse.BOTH, {"warn_below": 0.3, "warn_above": 2.0}, 0.2),  # 0.1 past the one, 1.1 within the other
        (Worse.BOTH, {"warn_below": 0.1, "warn_above": 0.5}, 0.9),
        (Worse.BELOW, {}, 0.2),
        (Worse.ABOVE, {}, 0.9),
        (Worse.BOTH, {}, None),
    ],
)
def test_the_worst_reading_is_the_one_nearest_to_its_limit_or_farthest_past_it(
    worse: Worse, limits: dict[str, float], worst: float | None
) -> None:
    assert judged(reads(0.2, float("nan"), 0.9, worse=worse), **limits).worst == worst


def test_without_readings_there_is_no_worst_one() -> None:
    assert judged(reads(float("nan")), error_below=0.1).worst is None


@pytest.mark.parametrize("past_mm", [0.0, 0.0009])
def test_lengths_of_a_file_in_inches_have_a_micrometre_of_slack(past_mm: float) -> None:
    checks = reads(LIMIT - past_mm)
    assert not judged_in_inches(checks, error_below=LIMIT).findings
    assert judged_in_inches(checks, error_below=LIMIT).close == 1
    assert bool(judged(checks, error_below=LIMIT).findings) == (past_mm > 0)


def test_a_finding_in_a_file_in_inches_states_its_slack() -> None:
    outcome = judged_in_inches(reads(0.16), error_below=LIMIT)
    wanted = "given value 0.160 mm is below 0.170 mm (slack 1 um: the file is in inches)"
    assert outcome.findings[0].text == wanted


def test_a_file_in_inches_with_four_decimals_has_its_own_step_as_slack() -> None:
    # one step of 0.0001 in is 2.54 um: a web of 0.20 drawn between two rounded places may read 0.19746
    ten = measured(TEN, in_inches=True)
    coarse = Measurements(replace(ten.openings, step_mm=0.00254), ten.foil)
    outcome = judge(coarse, rule_set(rule("given", error_below=0.2)), reads(0.19812))[0]
    assert (outcome.findings, outcome.close) == ((), 1)
    finding = judge(coarse, rule_set(rule("given", error_below=0.2)), reads(0.197))[0].findings[0]
    assert finding.text.endswith("(slack 2.5 um: the file is in inches)")


def test_ratios_of_a_file_in_inches_have_no_slack() -> None:
    outcome = judged_in_inches(reads(0.6595, unit=Unit.RATIO), error_below=0.66)
    assert outcome.findings[0].text == "given value 0.659 is below 0.660"


def test_a_row_of_equal_webs_passes_whole_in_millimetres_and_in_inches() -> None:
    # 16 slots of 0.275 at 0.5: webs of 0.225, at the limit. In steps of 0.01 mil places are off by up to
    # 0.127 um, so the distance of two by less than the micrometre of slack
    places_mm = [k * 0.5 for k in range(16)]
    inches = [round(place / 25.4, 5) * 25.4 for place in places_mm]
    assert places_mm != inches
    assert not found([Slot(place, 0.0, 0.275, 1.5) for place in places_mm], "web-width")
    assert not found([Slot(place, 0.0, 0.275, 1.5) for place in inches], "web-width", in_inches=True)


def test_a_failing_reading_is_never_shown_as_equal_to_its_limit() -> None:
    outcome = judged(reads(0.169_999, 0.1), error_below=LIMIT)
    assert [finding.text for finding in outcome.findings] == [
        "given value 0.100 mm is below 0.170 mm",
        "given value 0.169999 mm is below 0.170000 mm",
    ]


def test_too_much_is_said_to_be_above() -> None:
    assert judged(reads(3.2), warn_above=3.0).findings[0].text == "given value 3.200 mm is above 3.000 mm"


def test_a_pair_check_has_measured_the_openings_it_examined() -> None:
    outcomes = judge(measured([Slot(0.0, 0.0, 1.0, 1.0), Slot(5.0, 0.0, 1.0, 1.0)]), KNIFE_75)
    webs = outcomes[-1]
    assert (webs.check, webs.measured, webs.not_applicable, webs.worst) == ("web-width", 2, 0, None)


def test_a_lone_opening_has_no_webs_to_measure() -> None:
    webs = judge(measured([Slot(0.0, 0.0, 1.0, 1.0)]), KNIFE_75)[-1]
    assert (webs.measured, webs.not_applicable) == (0, 1)


def test_a_web_is_found_between_its_openings_and_names_both_components() -> None:
    # 1 mm squares, centres 1.15 apart: a web of 0.15 about x = 0.575
    (web,) = found([Slot(0.0, 0.0, 1.0, 1.0, "R2"), Slot(1.15, 0.0, 1.0, 1.0, "R1")], "web-width")
    assert (web.opening, web.other, web.label, web.line) == (1, 2, "R1+R2", 12)
    assert web.x_mm == pytest.approx(0.575)
    assert web.value == pytest.approx(0.15)


def test_a_web_at_the_limit_is_close() -> None:
    # centres 1.17 apart: a web of 0.17, at the error limit; below 0.225, so it warns
    webs = judge(measured([Slot(0.0, 0.0, 1.0, 1.0), Slot(1.17, 0.0, 1.0, 1.0)]), KNIFE_75)[-1]
    assert ([finding.level for finding in webs.findings], webs.close) == ([Level.WARNING], 1)


# --------------------------------------------------------------------------------------------- identity

NARROW = [Slot(10.0 + 0.5 * k, 7.0, 0.12, 1.5, "U1") for k in range(4)]


def fingerprints(slots: Sequence[Slot], check: str = "opening-width") -> list[str]:
    return sorted(finding.fingerprint for finding in found(slots, check))


def test_a_fingerprint_is_the_check_the_component_and_the_place_within_it() -> None:
    assert fingerprints(NARROW) == [
        "opening-width U1@0.00,0.00",
        "opening-width U1@0.50,0.00",
        "opening-width U1@1.00,0.00",
        "opening-width U1@1.50,0.00",
    ]


def test_a_fingerprint_without_a_component_is_the_check_and_the_place_in_the_layer() -> None:
    # the lower left corner of all middles is (-1, -3), whatever the file counts from
    layer = [Slot(1.0, -2.002, 0.12, 1.5), Slot(-1.0, 0.0, 1.0, 1.0), Slot(0.0, -3.0, 1.0, 1.0, "C1")]
    moved = [slot._replace(x_mm=slot.x_mm + 12.7, y_mm=slot.y_mm + 12.7) for slot in layer]
    assert fingerprints(layer) == fingerprints(moved) == ["opening-width @2.00,1.00"]


def test_a_fingerprint_of_a_pair_names_both_openings_in_either_order() -> None:
    one, two = Slot(0.0, 0.0, 1.0, 1.0, "C1"), Slot(1.15, 0.0, 1.0, 1.0, "C2")
    assert fingerprints([one, two], "web-width") == ["web-width C1@0.00,0.00 C2@0.00,0.00"]
    assert fingerprints([two, one], "web-width") == fingerprints([one, two], "web-width")


def test_fingerprints_keep_when_rows_are_numbered_anew_or_the_board_is_moved() -> None:
    before = [Slot(0.0, 0.0, 1.0, 1.0, "C9"), *NARROW]
    moved = [slot._replace(x_mm=slot.x_mm + 3.3331, y_mm=slot.y_mm - 0.7777) for slot in NARROW]
    assert fingerprints(before) == fingerprints(moved) == fingerprints(NARROW)


def test_fingerprints_keep_when_places_are_rounded_in_inches() -> None:
    # a pitch of 0.65: multiples of 0.325, which lie where plain rounding to 10 um would turn
    row = [Slot(k * 0.325, 0.0, 0.12, 1.5, "U2") for k in range(12)]
    inches = [slot._replace(x_mm=round(slot.x_mm / 25.4, 4) * 25.4) for slot in row]
    assert fingerprints(row) == fingerprints(inches)


def test_openings_at_one_place_have_fingerprints_of_their_own() -> None:
    cross = [Slot(0.0, 0.0, 0.12, 3.0, "U1"), Slot(0.0, 0.0, 0.12, 1.0, "U1")]
    assert fingerprints(cross) == ["opening-width U1@0.00,0.00", "opening-width U1@0.00,0.00#2"]


@given(st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), min_size=2, max_size=30, unique=True))
def test_fingerprints_are_unique_within_a_layer(places: list[tuple[int, int]]) -> None:
    slots = [Slot(x * 0.3, y * 0.3, 0.15, 0.15, "U1" if x % 2 else "") for x, y in places]
    outcomes = judge(measured(slots), KNIFE_75)
    names = [finding.fingerprint for outcome in outcomes for finding in outcome.findings]
    assert len(names) == len(set(names)) > 0


# ------------------------------------------------------------------------------------------------- laws


@given(
    values=st.lists(st.floats(0.0, 1.0), min_size=1, max_size=10),
    strict=st.floats(0.1, 0.9),
    looser_by=st.floats(0.0, 0.5),
)
def test_a_looser_limit_never_finds_more(values: list[float], strict: float, looser_by: float) -> None:
    checks = reads(*values)
    loose = judged(checks, error_below=strict - looser_by)
    assert levels(loose).keys() <= levels(judged(checks, error_below=strict)).keys()


@given(st.lists(st.floats(0.0, 1.0), min_size=1, max_size=10), st.floats(0.1, 0.9))
def test_every_reading_passes_or_fails_but_none_that_is_close_fails(
    values: list[float], limit: float
) -> None:
    outcome = judged(reads(*values, error=0.01), error_below=limit)
    past = [value for value in values if value < limit - 0.01]
    near = [value for value in values if abs(value - limit) <= 0.01]
    assert sorted(finding.value for finding in outcome.findings) == sorted(past)
    assert outcome.close == len(near)


# ------------------------------------------------------------------------------------------- layer reports


def test_a_layer_report_holds_the_table_of_openings_and_what_was_said() -> None:
    said = Diagnostic("late", DiagnosticLevel.NOTE, "late", Span("a.gbr", 9, 1))
    m = measured([Slot(0.0, 0.0, 1.0, 1.5, "C1"), Slot(1.2, 0.0, 1.0, 1.5, "C1"), Slot(9.0, 0.0, 0.4)])
    early = replace(said, code="early", span=Span("a.gbr", 3, 1))
    m = Measurements(replace(m.openings, diagnostics=(early,)), m.foil)
    layer = layer_report(m, KNIFE_75, Source("a.gbr", "0" * 64, "top"), (said,))
    assert [one.code for one in layer.diagnostics] == ["early", "late"]
    # two rectangles of 1.5 mm2 and a circle of pi 0.2^2 = 0.12566
    assert layer.openings == 3
    assert layer.open_area_mm2 == pytest.approx(3.12566, abs=1e-5)
    assert layer.bounds_mm == pytest.approx((-0.5, -0.75, 9.2, 0.75))
    # the web of 0.2 is within the reach of 0.225, the circle has no neighbour
    assert layer.table.web_mm.tolist() == pytest.approx([0.2, 0.2, float("nan")], nan_ok=True)
    assert layer.table.aspect_ratio.tolist() == pytest.approx([1 / 0.075, 1 / 0.075, 0.4 / 0.075])
    assert layer.table.is_round.tolist() == [False, False, True]


def test_a_rule_set_that_looks_for_no_webs_leaves_them_out_of_the_table() -> None:
    m = measured([Slot(0.0, 0.0, 1.0, 1.5), Slot(1.2, 0.0, 1.0, 1.5)])
    rules = rule_set(rule("opening-width", error_below=0.17))
    layer = layer_report(m, rules, Source("a.gbr", "0" * 64, "top"))
    assert np.isnan(layer.table.web_mm).all()


def test_a_summary_names_the_checks_that_a_rule_set_leaves_out() -> None:
    rules = rule_set(rule("opening-width", error_below=0.17), rule("area-ratio", error_below=0.6))
    told = summary(rules)
    assert {"web-width", "aspect-ratio"} <= set(told.not_run)
    assert "opening-width" not in told.not_run
    assert (told.name, told.foil_thickness_mm) == ("test", 0.075)
