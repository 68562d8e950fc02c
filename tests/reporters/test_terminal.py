import re
from dataclasses import replace
from pathlib import Path

import pytest

from pastecheck.bench import Job, Squeegee, Totals
from pastecheck.report import BesideFile, Level
from pastecheck.reporters.terminal import CAUSES_SHOWN, DIAGNOSTICS_SHOWN, REMEDIES_SHOWN, rendered
from pastecheck.source import Diagnostic, DiagnosticLevel, Span
from tests.reports import (
    JOB,
    TOTALS,
    Slot,
    a_bad_board,
    a_busy_board,
    a_clean_board,
    finding,
    layer,
    outcome,
    renamed,
    report,
    table,
)

GOLDEN = Path(__file__).parent / "golden"


@pytest.mark.parametrize(
    ("name", "width", "colour"),
    [("bad-80", 80, False), ("bad-120", 120, False), ("bad-80-colour", 80, True)],
)
def test_the_report_of_a_bad_board_reads_as_it_was_read_and_found_good(
    name: str, width: int, *, colour: bool, update_golden: bool
) -> None:
    hold(name, rendered(a_bad_board(), width=width, colour=colour), update=update_golden)


@pytest.mark.parametrize(
    ("name", "width", "colour"),
    [("busy-80", 80, False), ("busy-100", 100, False), ("busy-100-colour", 100, True)],
)
def test_the_report_of_a_busy_board_reads_as_it_was_read_and_found_good(
    name: str, width: int, *, colour: bool, update_golden: bool
) -> None:
    hold(name, rendered(a_busy_board(), width=width, colour=colour), update=update_golden)


def test_the_report_of_a_clean_board_reads_as_it_was_read_and_found_good(*, update_golden: bool) -> None:
    hold("clean-80", rendered(a_clean_board(), width=80), update=update_golden)


def hold(name: str, made: str, *, update: bool) -> None:
    path = GOLDEN / f"{name}.txt"
    if update:
        path.write_text(made, encoding="utf-8")
    assert made == path.read_text(encoding="utf-8")


def first_line(level: Level | None) -> str:
    openings = table([Slot(0.0, 0.0, 0.15, 1.5)] * 2)
    found = [] if level is None else [finding(openings, "opening-width", 0.15, 0.17, 1, level=level)]
    return rendered(report(layer(openings, [outcome("opening-width", found)]))).splitlines()[0]


@pytest.mark.parametrize(
    ("level", "verdict"),
    [
        (None, "cut it"),
        (Level.WARNING, "cut it with care (1 warning)"),
        (Level.ERROR, "do not cut this (1 error)"),
    ],
)
def test_the_verdict_comes_first(level: Level | None, verdict: str) -> None:
    assert first_line(level) == f"{verdict}: boards/paste-top.gbr"


def test_errors_and_warnings_are_both_counted() -> None:
    verdict = "do not cut this (6 errors, 3 warnings): boards/paste-top.gbr"
    assert rendered(a_bad_board()).splitlines()[0] == verdict


def test_quiet_is_the_verdict_of_each_layer_and_nothing_else() -> None:
    bad, clean = a_bad_board(), a_clean_board()
    both = replace(bad, layers=(*bad.layers, *clean.layers))
    assert rendered(both, quiet=True).splitlines() == [
        "do not cut this (6 errors, 3 warnings): boards/paste-top.gbr",
        "cut it: boards/paste-top.gbr",
    ]


@pytest.mark.parametrize("width", [20, 40, 80, 200])
def test_no_line_is_wider_than_the_terminal_and_no_word_is_cut(width: int) -> None:
    lines = rendered(a_bad_board(), width=width).splitlines()
    assert max(map(len, lines)) <= width
    assert "..." not in "".join(lines)
    assert "\N{HORIZONTAL ELLIPSIS}" not in "".join(lines)


def test_plain_text_is_ascii_without_escapes() -> None:
    text = rendered(a_bad_board())
    assert text.isascii()
    assert "\x1b" not in text


def test_text_from_the_file_cannot_steer_the_terminal_or_the_reader() -> None:
    hostile = "\x1b[2J[red]U\u202e1[/]\r\n\x07\ud800"
    text = rendered(renamed(a_bad_board(), hostile), width=200)
    assert r"\x1b[2J[red]U\u202e1[/]\r\n\x07\ud800" in text
    assert all(line.isprintable() for line in text.splitlines())


def test_colour_only_repeats_what_the_words_say() -> None:
    coloured = rendered(a_bad_board(), colour=True)
    plain = re.sub(r"\x1b\[[0-9;]*m", "", coloured)
    stripped = "\n".join(line.rstrip() for line in plain.split("\n"))
    assert stripped == rendered(a_bad_board())


def test_a_long_list_is_cut_with_a_word_on_what_is_missing() -> None:
    # 3 causes more than shown, each of one finding
    openings = table([Slot(float(k), 0.0, 0.15, 1.5 + 0.1 * k, "U1") for k in range(CAUSES_SHOWN + 3)])
    found = [finding(openings, "opening-width", 0.15, 0.17, k + 1) for k in range(len(openings))]
    text = rendered(report(layer(openings, [outcome("opening-width", found)])))
    assert "and 3 more like these, with 3 findings: --json FILE writes every one" in text
    assert text.count("1 opening of U1, 0.15 x ") == CAUSES_SHOWN


def test_many_diagnostics_are_cut_with_a_word_on_what_is_missing_warnings_first() -> None:
    (bad,) = a_bad_board().layers
    notes = [
        Diagnostic("note", DiagnosticLevel.NOTE, f"note {k}", Span("a.gbr", k + 1, 1))
        for k in range(DIAGNOSTICS_SHOWN)
    ]
    text = rendered(report(replace(bad, diagnostics=(*notes, *bad.diagnostics))))
    assert "and 2 more: --json FILE writes every one" in text
    assert text.index("does not end with M02") < text.index("note 0")


def test_a_check_that_measured_nothing_says_so() -> None:
    assert "Measured nothing here, so it says nothing about this layer: web-width." in rendered(
        a_clean_board(), width=120
    )


def test_a_check_without_a_reading_within_reach_says_so() -> None:
    openings = table([Slot(0.0, 0.0, 1.0, 1.0), Slot(9.0, 0.0, 1.0, 1.0)])
    text = rendered(report(layer(openings, [outcome("web-width", measured=2)])))
    assert "  web-width none\n" in text


def test_checks_that_lack_something_are_told_in_a_line_for_each_thing() -> None:
    openings = table([Slot(0.0, 0.0, 1.0, 1.0)])
    lands, outline = "--land FILE, and --mask FILE", "--outline FILE"
    lacking = [("land-coverage", lands), ("board-overhang", outline), ("land-overhang", lands)]
    outcomes = [outcome(check, measured=0, missing=missing) for check, missing in lacking]
    text = rendered(report(layer(openings, outcomes)))
    assert "  Not measured without --land FILE, and --mask FILE: land-coverage, land-overhang.\n" in text
    assert "  Not measured without --outline FILE: board-overhang.\n" in text
    assert "nothing about this layer" not in text


def test_a_check_without_limits_found_nothing_and_judged_nothing() -> None:
    openings = table([Slot(0.0, 0.0, 1.0, 1.0)])
    free = outcome("corner-radius", limits={}, worst=0.0)
    text = rendered(report(layer(openings, [free, outcome("opening-width", worst=1.0)])))
    assert "  Measured without limits, for --csv FILE: corner-radius.\n" in text
    assert "corner-radius 0" not in text


def test_a_check_that_found_nothing_is_told_with_its_worst_reading_and_what_it_measured() -> None:
    openings = table([Slot(0.0, 0.0, 1.0, 1.0)] * 5)
    width = outcome("opening-width", measured=5, worst=1.0)
    neck = outcome("neck-width", measured=2, not_applicable=3, worst=0.21)
    text = rendered(report(layer(openings, [width, neck])))
    assert "opening-width 1.000 mm   neck-width 0.210 mm (2)" in " ".join(text.split("\n"))


def test_a_finding_that_is_of_no_opening_has_no_size_and_no_line() -> None:
    openings = table([Slot(4.0, 5.0, 1.0, 1.0)])
    found = [finding(openings, "sheet-fit", -10.0, 0.0, None, remedy="turn it")]
    lines = rendered(report(layer(openings, [outcome("sheet-fit", found)]))).splitlines()
    assert lines[3:7] == [
        "error     Sheet fit",
        "          sheet fit -10.000 mm is below 0.000 mm",
        "          at (4.00, 5.00) mm",
        "      ->  turn it",
    ]


def test_a_row_is_told_with_its_pitch_and_how_many_of_it_failed() -> None:
    leads = [Slot(0.5 * k, 0.0, 0.3, 1.5, "U1", row=0, pitch_mm=0.5) for k in range(6)]
    openings = table(leads)
    failed = [finding(openings, "web-width", 0.2, 0.225, k, other=k + 1) for k in (1, 2)]
    text = rendered(report(layer(openings, [outcome("web-width", failed)])))
    assert "error     3 of 6 openings of U1, in a row at 0.50 mm pitch, 0.30 x 1.50 mm\n" in text
    assert "          web width 0.200 mm is below 0.225 mm (2 pairs)\n" in text


def test_many_remedies_of_one_cause_are_cut_with_a_word_on_what_is_missing() -> None:
    text = _of_webs_that_want_unlike_things(REMEDIES_SHOWN + 2, row=0)
    assert text.count("-> ") == REMEDIES_SHOWN + 1
    assert "      ->  and 2 other changes for some of them, as --json has them\n" in text


def test_of_loose_pairs_only_the_remedy_and_the_places_of_the_worst_are_told() -> None:
    text = _of_webs_that_want_unlike_things(7, row=-1)
    assert "(1.50, 0.00) mm and 3 more; worst first, line 12" in " ".join(text.split())
    assert "      ->  do b\n      ->  and 6 other changes for some of them, as --json" in text


def _of_webs_that_want_unlike_things(webs: int, row: int) -> str:
    openings = table([Slot(0.5 * k, 0.0, 0.3, 1.5, "U1", row=row, pitch_mm=0.5) for k in range(webs + 1)])
    failed = [
        finding(openings, "web-width", 0.15, 0.17, k, other=k + 1, remedy=f"do {'abcdefgh'[k]}")
        for k in range(1, len(openings))
    ]
    return rendered(report(layer(openings, [outcome("web-width", failed)])))


def test_remedies_that_differ_in_their_figures_are_told_by_that_of_the_worst() -> None:
    openings = table([Slot(float(k), 0.0, 0.5, 1.5) for k in range(3)])
    failed = [
        finding(openings, "land-coverage", value, 0.6, k + 1, remedy=f"widen to {width} mm")
        for k, (value, width) in enumerate([(0.40, "0.750"), (0.45, "0.667"), (0.50, "0.600")])
    ]
    text = rendered(report(layer(openings, [outcome("land-coverage", failed, unit="1")])))
    assert "error     3 openings, 0.50 x 1.50 mm\n" in text
    assert text.count("-> ") == 1
    assert "      ->  widen to 0.750 mm (for the worst; --json FILE has the figures of each)\n" in text


@pytest.mark.parametrize(
    ("slots", "grid", "says"),
    [
        ([(0, 0.5), (0, 0.5)], False, "2 openings, in a row at 0.50 mm pitch, "),
        ([(0, 0.635), (1, 0.6352)], False, "2 openings, in two rows at 0.635 mm pitch, "),
        ([(0, 0.5), (1, 0.65)], False, "2 openings, in two rows at 0.50 to 0.65 mm pitch, "),
        ([(0, 0.8), (1, 0.8), (-1, 0.0)], True, "3 openings, most in a grid at 0.80 mm pitch, "),
        ([(0, 0.5), (-1, 0.0), (-1, 0.0)], False, "3 openings, some in a row at 0.50 mm pitch, "),
        ([(k, 0.5) for k in range(11)], False, "11 openings, in 11 rows at 0.50 mm pitch, "),
    ],
)
def test_rows_are_told_in_few_words(slots: list[tuple[int, float]], *, grid: bool, says: str) -> None:
    openings = table([Slot(float(k), 0.0, 0.2, 0.3, "", row=r, pitch_mm=p) for k, (r, p) in enumerate(slots)])
    openings = replace(openings, in_grid=(openings.row >= 0) & grid)
    failed = [finding(openings, "opening-width", 0.2, 0.215, k + 1) for k in range(len(slots))]
    text = rendered(report(layer(openings, [outcome("opening-width", failed)])))
    assert f"error     {says}0.20 x 0.30 mm\n" in text


def test_many_components_are_named_in_part() -> None:
    openings = table([Slot(float(k), 0.0, 0.2, 0.3, f"C{k}") for k in range(9)])
    failed = [finding(openings, "opening-width", 0.2, 0.215, k + 1) for k in range(9)]
    text = rendered(report(layer(openings, [outcome("opening-width", failed)])))
    assert "error     9 openings of C0, C1, C2, C3 and 5 more, 0.20 x 0.30 mm\n" in text


def test_checks_that_are_not_in_the_rule_set_are_named() -> None:
    assert "Not in this rule set: neck-width." in rendered(a_clean_board())


def test_what_the_user_should_know_of_the_settings_is_said() -> None:
    clean = a_clean_board()
    text = rendered(replace(clean, rule_set=replace(clean.rule_set, notices=("another sheet",))))
    assert "  note: another sheet\n" in text


def test_a_limit_is_shown_in_full_and_a_reading_never_as_equal_to_it() -> None:
    openings = table([Slot(0.0, 0.0, 0.2031, 1.0)])
    found = [finding(openings, "opening-width", 0.2031, 0.2032, 1)]
    text = rendered(
        report(layer(openings, [outcome("opening-width", found, limits={"error_below": 0.2032})]))
    )
    assert "0.2031 mm  < 0.2032 mm" in text


def test_limits_on_both_sides_are_shown() -> None:
    openings = table([Slot(0.0, 0.0, 1.0, 1.0)])
    limits = {"error_below": 0.35, "warn_below": 0.6, "warn_above": 1.15}
    coverage = outcome("land-coverage", unit="1", limits=limits, worst=0.9, close=1)
    text = rendered(report(layer(openings, [coverage])))
    assert "< 0.35" in text
    assert "< 0.60 or > 1.15" in text


def test_files_beside_the_layer_are_named_and_what_is_said_of_them_too() -> None:
    (bad,) = a_bad_board().layers
    files = (("land", "copper.gbr"), ("mask", "mask.gbr"), ("outline", "edge.gbr"))
    beside = tuple(BesideFile(option, file, "5e" * 32) for option, file in files)
    note = Diagnostic("x", DiagnosticLevel.NOTE, "something", Span("copper.gbr", 3, 1))
    text = rendered(report(replace(bad, beside=beside, diagnostics=(*bad.diagnostics, note))))
    assert "  with copper copper.gbr, solder mask mask.gbr, outline edge.gbr\n" in text
    assert "  note: copper.gbr: line 3: something [x]\n" in text
    assert "  note: line 4: the units" in text


# ---------------------------------------------------------------------------------------------- for the job


def job_lines(job: Job, totals: Totals = TOTALS) -> dict[str, str]:
    """What the block for the job says, by the words in front."""
    (clean,) = a_clean_board().layers
    lines = rendered(report(replace(clean, job=job, totals=totals)), width=200).splitlines()
    start = lines.index("For the job") + 1
    return {line[2:12].strip(): line[12:] for line in lines[start : start + 6]}


def test_the_job_is_told_in_six_lines() -> None:
    assert job_lines(JOB) == {
        "cut": "5 outlines, 1.23 m; 2 passes at 20 mm/s, 10 lifts: 1.5 to 2.7 min",
        "paste": "0.05 mm3, 0.21 mg at 4.14 g/cm3: all that the openings hold",
        "squeegee": "along y, as 2 slender webs do",
        "look for": "1 of 0.10 x 0.14 mm (R9)",
        "sheet": "30 x 40 mm at least, 10 mm bare about the openings",
        "side": "cut it as drawn; what lay on the carrier goes onto the board, the blade's lip faces the "
        "squeegee",
    }


def test_where_the_rule_set_gives_no_speed_no_time_is_told() -> None:
    assert (
        job_lines(replace(JOB, time=None))["cut"]
        == "5 outlines, 1.23 m; no time, for the rule set gives no speed"
    )


@pytest.mark.parametrize(
    ("squeegee", "says"),
    [
        (None, "any way: no web is so slender that the direction matters"),
        (Squeegee(0.4, 3, prevails=True), "along x, as 3 slender webs do"),
        (Squeegee(179.6, 1, prevails=True), "along x, as 1 slender web does"),
        (Squeegee(90.0, 3, prevails=True), "along y, as 3 slender webs do"),
        (Squeegee(30.0, 3, prevails=True), "at 30 degrees to the x axis as drawn, along 3 slender webs"),
        (
            Squeegee(45.0, 8, prevails=False),
            "at 45 degrees to the board, for 8 slender webs lie in all directions",
        ),
    ],
)
def test_the_way_of_the_squeegee_is_told_as_it_is_done_by_hand(squeegee: Squeegee | None, says: str) -> None:
    assert job_lines(replace(JOB, squeegee=squeegee))["squeegee"] == says


def test_the_users_own_transfer_efficiency_is_said_to_be_in_the_paste() -> None:
    totals = replace(TOTALS, deposit_volume_mm3=120.0, paste_mg=1234.0, has_efficiency=True)
    assert job_lines(JOB, totals)["paste"] == "120 mm3, 1.23 g at 4.14 g/cm3: by your transfer efficiency"


@pytest.mark.parametrize(
    ("spare_mm", "turned", "says"),
    [
        (12.0, False, "; yours of 210 x 297 mm does"),
        (12.0, True, "; yours of 210 x 297 mm does, turned by 90 degrees"),
        (-3.26, True, "; yours of 210 x 297 mm is too small by 3.3 mm"),
    ],
)
def test_the_rule_sets_own_sheet_is_held_against_the_smallest(
    spare_mm: float, *, turned: bool, says: str
) -> None:
    own_mm = 210.0, 297.0
    sheet = replace(JOB.sheet, spare_mm=spare_mm, is_turned=turned, unusable_mm=5.0, own_mm=own_mm)
    text = job_lines(replace(JOB, sheet=sheet))["sheet"]
    assert text.startswith("30 x 40 mm at least, 10 mm bare about the openings, 5 mm out of reach")
    assert text.endswith(says)


@pytest.mark.parametrize(
    ("mirrored", "says"),
    [
        (True, "cut it mirrored"),
        (False, "cut it as drawn"),
        (None, "cut a top layer as drawn, a bottom layer mirrored"),
    ],
)
def test_a_laser_leaves_no_lip(*, mirrored: bool | None, says: str) -> None:
    assert job_lines(replace(JOB, cutter="laser", is_mirrored=mirrored))["side"] == says


def test_the_smallest_openings_without_components_are_told_by_their_place() -> None:
    (small,) = JOB.smallest
    nameless = replace(small, components=(), is_round=True, length_mm=0.1)
    two = replace(nameless, count=2, within_mm=(1.0, 2.0, 3.0, 4.0))
    assert job_lines(replace(JOB, smallest=(nameless, two)))["look for"] == (
        "1 of 0.10 mm round at (7.00, 5.00); 2 of 0.10 mm round, (1.00, 2.00) to (3.00, 4.00)"
    )


@pytest.mark.parametrize(
    ("material", "cutter", "warns"),
    [
        ("polyester (PET)", "drag knife", "Polyester creeps"),
        ("polyimide", "laser", "nicked once tears on: look at it before each print. Never put vinyl"),
        ("stainless steel", "laser", "come first."),
    ],
)
def test_cautions_are_those_of_the_material_and_the_cutter(material: str, cutter: str, warns: str) -> None:
    clean = a_clean_board()
    (top,) = clean.layers
    rule_set = replace(
        clean.rule_set, foil_material=material, foil_name="foil" if "steel" in material else "film"
    )
    told = replace(clean, rule_set=rule_set, layers=(replace(top, job=replace(JOB, cutter=cutter)),))
    text = " ".join(rendered(told).split())
    assert warns in text
    assert text.endswith(".")
    assert ("steel" in material) == text.endswith("come first.")


def test_an_opening_read_at_two_places_is_told_at_one() -> None:
    openings = table([Slot(4.0, 5.0, 0.15, 1.5)])
    side = finding(openings, "side-length", 0.15, 0.195, 1, level=Level.WARNING)._replace(y_mm=4.25)
    outcomes = [outcome("opening-width", [finding(openings, "opening-width", 0.15, 0.17, 1)])]
    text = rendered(report(layer(openings, [*outcomes, outcome("side-length", [side])])))
    assert "          at (4.00, 5.00) mm, line 12\n" in text
