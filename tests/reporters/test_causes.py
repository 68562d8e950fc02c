from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from pastecheck.report import Finding, LayerReport, Level, OpeningTable
from pastecheck.reporters._causes import Causes, causes
from pastecheck.reporters._told import Kind, Rows, Size
from tests.reports import Slot, a_bad_board, a_clean_board, finding, layer, outcome, table


def narrow(slots: list[Slot], remedies: list[str] | None = None) -> LayerReport:
    """A layer in which every opening is too narrow by its width."""
    openings = table(slots)
    texts = remedies or [""] * len(slots)
    found = [
        finding(openings, "opening-width", slot.width_mm, 0.17, k + 1, remedy=texts[k])
        for k, slot in enumerate(slots)
    ]
    return layer(openings, [outcome("opening-width", sorted(found, key=lambda one: one.value))])


def some(count: int, label: str = "U1", width_mm: float = 0.15) -> list[Slot]:
    return [Slot(0.5 * k, 0.0, width_mm, 1.5, label) for k in range(count)]


def leads(count: int, label: str = "U1", row: int = 0, pitch_mm: float = 0.5) -> list[Slot]:
    """A row of leads."""
    return [Slot(pitch_mm * k, row, 0.3, 1.5, label, row=row, pitch_mm=pitch_mm) for k in range(count)]


def webs(openings: OpeningTable, pairs: list[tuple[int, int]], remedy: str = "") -> list[Finding]:
    return [finding(openings, "web-width", 0.15, 0.17, a, other=b, remedy=remedy) for a, b in pairs]


def of(openings: OpeningTable, **found: list[Finding]) -> Causes:
    outcomes = [outcome(check.replace("_", "-"), findings) for check, findings in found.items()]
    return causes(layer(openings, outcomes), 99)


def test_nothing_found_has_no_cause() -> None:
    found = causes(a_clean_board().layers[0], 10)
    assert (found.shown, found.more, found.findings_of_more, len(found.of_findings)) == ((), 0, 0, 0)


# ------------------------------------------------------------------------------------------- single openings


def test_like_openings_of_one_component_are_one_cause() -> None:
    (cause,) = causes(narrow(some(12)), 10).shown
    assert (cause.kind, cause.count, cause.among) == (Kind.OPENINGS, 12, 12)
    assert (cause.components, cause.sizes) == (("U1",), (Size(0.15, 1.5, is_round=False),))
    assert cause.within_mm == (0.0, 0.0, 5.5, 0.0)


def test_components_that_fail_alike_are_one_cause_that_names_them_in_natural_order() -> None:
    (cause,) = causes(narrow([*some(2, "U10"), *some(3, "U2"), *some(1, "U2b"), *some(1, "U02")]), 10).shown
    assert (cause.count, cause.components) == (7, ("U02", "U2", "U2b", "U10"))


def test_a_label_of_very_many_digits_is_a_label() -> None:
    (cause,) = causes(narrow([*some(1, "U" + "9" * 5000), *some(1, "U1")]), 10).shown
    assert cause.components == ("U1", "U" + "9" * 5000)


def test_openings_without_a_component_are_not_told_of_one() -> None:
    found = causes(narrow([*some(3), *some(2, "")]), 10).shown
    assert [(cause.count, cause.components) for cause in found] == [(3, ("U1",)), (2, ())]


def test_openings_that_inches_have_rounded_are_one_cause() -> None:
    # 0.275 lies where plain rounding to 10 um would turn
    slots = [Slot(0.5 * k, 0.0, width, 1.5, "U1") for k, width in enumerate((0.2746, 0.275, 0.2753))]
    assert [cause.count for cause in causes(narrow(slots), 10).shown] == [3]


def test_openings_that_want_unlike_remedies_are_two_causes() -> None:
    found = causes(narrow(some(3), ["widen", "widen", "no room"]), 10).shown
    assert [(cause.count, cause.remedies) for cause in found] == [(2, ("widen",)), (1, ("no room",))]
    assert [(cause.count, cause.among) for cause in found] == [(2, 3), (1, 3)]


def test_openings_that_want_the_same_in_other_figures_are_one_cause() -> None:
    (cause,) = causes(narrow(some(3), ["widen to 0.20", "widen to 0.25", "widen to 0.20"]), 10).shown
    assert (cause.count, cause.remedies, cause.have_others) == (3, ("widen to 0.20",), (True,))


def test_rows_that_want_other_figures_are_two_causes() -> None:
    openings = table([*leads(3), *leads(3, row=1)])
    first, second = (
        webs(openings, [(1, 2), (2, 3)], "make 0.25"),
        webs(openings, [(4, 5), (5, 6)], "make 0.27"),
    )
    assert [cause.count for cause in of(openings, web_width=[*first, *second]).shown] == [3, 3]


def test_an_opening_that_fails_several_checks_is_one_cause() -> None:
    openings = table(some(3))
    width = [finding(openings, "opening-width", 0.15, 0.17, k) for k in (1, 2, 3)]
    aspect = [finding(openings, "aspect-ratio", 1.4, 1.5, k, level=Level.WARNING) for k in (3, 2, 1)]
    (cause,) = of(openings, aspect_ratio=aspect, opening_width=width).shown
    assert (cause.level, cause.count) == (Level.ERROR, 3)
    assert [one.worst.check for one in cause.failed] == ["opening-width", "aspect-ratio"]
    assert [(one.findings, one.errors) for one in cause.failed] == [(3, 3), (3, 0)]


def test_openings_that_fail_unlike_checks_are_two_causes() -> None:
    openings = table(some(3))
    width = [finding(openings, "opening-width", 0.15, 0.17, k) for k in (1, 2, 3)]
    aspect = [finding(openings, "aspect-ratio", 1.4, 1.5, 2, level=Level.WARNING)]
    found = of(openings, opening_width=width, aspect_ratio=aspect).shown
    assert sorted((cause.count, len(cause.failed)) for cause in found) == [(1, 2), (2, 1)]


def test_any_number_of_checks_may_fail() -> None:
    # 70 checks with two levels each are more than a whole number of 64 bits has room for
    openings = table(some(3))

    def failed(check: str, rows: tuple[int, ...]) -> list[Finding]:
        return [finding(openings, check, 0.1, 0.2, row) for row in rows]

    names = [f"check-{k}" for k in range(70)]
    unlike = {name.replace("-", "_"): failed(name, (1 + k % 2,)) for k, name in enumerate(names)}
    assert sorted(cause.count for cause in of(openings, **unlike, last=failed("last", (3,))).shown) == [
        1,
        1,
        1,
    ]
    (cause,) = of(openings, **{name.replace("-", "_"): failed(name, (1, 2, 3)) for name in names}).shown
    assert (cause.count, len(cause.failed)) == (3, 70)


def test_a_round_opening_is_not_a_square_one() -> None:
    slots = [Slot(0.0, 0.0, 0.15, 0.15), Slot(1.0, 0.0, 0.15, 0.15, round=True)]
    assert {cause.sizes[0].is_round for cause in causes(narrow(slots), 10).shown} == {True, False}


# ------------------------------------------------------------------------------------------------------ rows


def test_rows_are_counted_with_their_pitch_and_openings() -> None:
    openings = table([*leads(12, row=0), *leads(12, row=1), *leads(12, row=2)])
    failed = [finding(openings, "pitch-fraction", 0.6, 0.57, k) for k in range(1, 19)]
    (cause,) = of(openings, pitch_fraction=failed).shown
    # all of the first row and 6 of the second; the third is not concerned
    assert (cause.count, cause.among, cause.rows) == (18, 24, Rows(2, 18, 0.5, 0.5, are_grid=False))


def test_rows_of_two_pitches_that_want_the_same_are_one_cause() -> None:
    openings = table([*leads(4), *leads(3, row=1, pitch_mm=0.65)])
    failed = [finding(openings, "opening-width", 0.3, 0.4, k) for k in range(1, 8)]
    (cause,) = of(openings, opening_width=failed).shown
    assert cause.rows == Rows(2, 7, 0.5, 0.65, are_grid=False)


def test_an_opening_outside_rows_is_not_counted_as_one_in_them() -> None:
    openings = table([*leads(4), Slot(9.0, 9.0, 0.3, 1.5, "U1")])
    failed = [finding(openings, "opening-width", 0.3, 0.4, k) for k in range(1, 6)]
    (cause,) = of(openings, opening_width=failed).shown
    assert (cause.count, cause.rows) == (5, Rows(1, 4, 0.5, 0.5, are_grid=False))


def test_openings_outside_rows_have_none() -> None:
    (cause,) = causes(narrow(some(3)), 10).shown
    assert cause.rows is None


def test_openings_of_a_grid_are_told_of_a_grid() -> None:
    openings = table([*leads(4), *leads(4, row=1)])
    grid = replace(openings, in_grid=openings.row >= 0)
    (cause,) = of(grid, area_ratio=[finding(grid, "area-ratio", 0.3, 0.4, k) for k in range(1, 9)]).shown
    assert cause.rows == Rows(2, 8, 0.5, 0.5, are_grid=True)


def test_failures_of_pairs_and_of_openings_of_one_row_are_one_cause() -> None:
    openings = table(leads(5))
    remedy = "make the 5 openings of this row 0.25 mm wide"
    fraction = [finding(openings, "pitch-fraction", 0.6, 0.57, k, remedy=remedy) for k in range(1, 6)]
    pairs = [(k, k + 1) for k in range(1, 5)]
    slender = [
        finding(openings, "web-slenderness", 9.0, 8.5, a, other=b, level=Level.WARNING, remedy=remedy)
        for a, b in pairs
    ]
    (cause,) = of(
        openings, web_width=webs(openings, pairs, remedy), web_slenderness=slender, pitch_fraction=fraction
    ).shown
    assert (cause.kind, cause.count, cause.among, cause.remedies) == (Kind.OPENINGS, 5, 5, (remedy,))
    assert [(one.worst.check, one.findings) for one in cause.failed] == [
        ("web-width", 4),
        ("pitch-fraction", 5),
        ("web-slenderness", 4),
    ]


def test_an_end_of_a_row_that_fails_one_check_more_stays_with_its_row() -> None:
    openings = table(leads(4))
    margin = [finding(openings, "edge-margin", 2.0, 3.0, 1)]
    found = of(openings, web_width=webs(openings, [(1, 2), (2, 3), (3, 4)]), edge_margin=margin).shown
    assert [cause.count for cause in found] == [4]


def test_a_row_of_which_some_fail_one_check_more_is_one_cause() -> None:
    # the webs of the first two only, as rounding to mils has it: all of the row want the same
    openings = table(leads(5))
    remedy = "make them 0.37 mm wide"
    fraction = [finding(openings, "pitch-fraction", 0.6, 0.57, k, remedy=remedy) for k in range(1, 6)]
    found = of(openings, web_width=webs(openings, [(1, 2)], remedy), pitch_fraction=fraction).shown
    assert [(cause.count, [one.findings for one in cause.failed]) for cause in found] == [(5, [1, 5])]


def test_webs_of_a_row_that_rounding_makes_errors_and_warnings_are_one_cause() -> None:
    openings = table(leads(3))
    two = webs(openings, [(1, 2), (2, 3)])
    mixed = [two[0], two[1]._replace(level=Level.WARNING)]
    (cause,) = of(openings, web_width=mixed).shown
    assert (cause.level, cause.failed[0].findings, cause.failed[0].errors) == (Level.ERROR, 2, 1)


def test_a_row_whose_ends_want_another_remedy_tells_both_that_of_the_worst_first() -> None:
    openings = table(leads(3))
    two = webs(openings, [(1, 2), (2, 3)])
    (cause,) = of(openings, web_width=[two[0]._replace(remedy="this"), two[1]._replace(remedy="that")]).shown
    assert cause.remedies == ("this", "that")


# ----------------------------------------------------------------------------------------------------- pairs


def test_a_web_between_unlike_openings_has_both_sizes() -> None:
    openings = table([Slot(0.0, 0.0, 1.0, 1.0), *leads(1)])
    (cause,) = of(openings, web_width=webs(openings, [(1, 2)])).shown
    assert (cause.kind, [size.width_mm for size in cause.sizes]) == (Kind.PAIRS, [0.3, 1.0])


def test_pairs_in_no_row_are_one_cause_whatever_their_sizes_and_remedies() -> None:
    openings = table([*some(2, ""), Slot(5.0, 0.0, 1.0, 1.0), Slot(6.0, 0.0, 0.25, 0.8)])
    found = [*webs(openings, [(3, 4)], "this"), *webs(openings, [(1, 2)], "that")]
    (cause,) = of(openings, web_width=found).shown
    assert (cause.kind, cause.count, cause.remedies) == (Kind.LOOSE_PAIRS, 2, ("this", "that"))
    assert [size.width_mm for size in cause.sizes] == [0.15, 0.25, 1.0]
    assert cause.places_mm == ((5.0, 0.0), (0.0, 0.0))  # the worst first, as the check tells them


def test_pairs_that_fail_unlike_checks_are_two_causes() -> None:
    openings = table([*some(2, ""), *some(2, "R1")])
    slender = [finding(openings, "web-slenderness", 9.0, 8.5, 1, other=2)]
    found = of(openings, web_width=webs(openings, [(3, 4)]), web_slenderness=slender).shown
    assert [cause.title for cause in found] == ["Web width", "Web slenderness"]


def test_a_pair_of_which_one_opening_fails_by_itself_is_a_thing_of_its_own() -> None:
    openings = table([*some(2, ""), *some(2, "R1")])
    narrow_one = [finding(openings, "opening-width", 0.15, 0.17, 1)]
    found = of(openings, web_width=webs(openings, [(1, 2), (3, 4)]), opening_width=narrow_one).shown
    assert sorted(cause.kind for cause in found) == [Kind.OPENINGS, Kind.LOOSE_PAIRS]


def test_a_web_between_like_openings_of_two_components_is_told_of_both() -> None:
    openings = table([*some(1, "C1"), *some(1, "C2"), *some(1, "C3"), *some(1, "C4")])
    (cause,) = of(openings, web_width=webs(openings, [(1, 2), (3, 4)])).shown
    assert (cause.kind, cause.count, cause.components) == (Kind.LOOSE_PAIRS, 2, ("C1+C2", "C3+C4"))


def test_two_checks_of_one_pair_are_one_pair() -> None:
    openings = table([Slot(0.0, 0.0, 1.0, 1.0), Slot(1.0, 0.0, 0.25, 0.8)])
    slender = [finding(openings, "web-slenderness", 9.0, 8.5, 1, other=2)]
    (cause,) = of(openings, web_width=webs(openings, [(2, 1)]), web_slenderness=slender).shown
    assert (cause.count, len(cause.failed)) == (1, 2)


# -------------------------------------------------------------------------------------- what is no opening


def test_what_is_no_opening_stands_by_itself() -> None:
    openings = table(some(2))
    missing = [finding(openings, "missing-opening", 1.0, 0.0, None) for _ in range(3)]
    fit = [finding(openings, "sheet-fit", -10.0, 0.0, None, remedy="turn it")]
    width = [finding(openings, "opening-width", 0.15, 0.17, k) for k in (1, 2)]
    found = of(openings, missing_opening=missing, sheet_fit=fit, opening_width=width).shown
    assert sorted((cause.title, cause.kind, cause.count) for cause in found) == [
        ("Missing opening", Kind.PLACES, 3),
        ("Opening width", Kind.OPENINGS, 2),
        ("Sheet fit", Kind.PLACES, 1),
    ]
    assert all(cause.sizes == () and cause.rows is None for cause in found if cause.kind is Kind.PLACES)


def test_registration_comes_before_all_else() -> None:
    openings = table(some(2))
    width = [finding(openings, "opening-width", 0.01, 0.17, k) for k in (1, 2)]
    shifted = [finding(openings, "registration", 0.06, 0.055, None, level=Level.WARNING)]
    found = of(openings, opening_width=width, registration=shifted).shown
    assert [cause.title for cause in found] == ["Registration", "Opening width"]


# ----------------------------------------------------------------------------------------------------- order


def test_a_board_with_faults_of_several_kinds() -> None:
    found = causes(a_bad_board().layers[0], 10).shown
    assert [(cause.kind, cause.count, cause.components) for cause in found] == [
        (Kind.OPENINGS, 1, ("R9",)),
        (Kind.OPENINGS, 3, ("U1",)),
        (Kind.OPENINGS, 1, ()),
    ]


def test_errors_come_first_then_what_is_farthest_past_its_limit() -> None:
    openings = table([Slot(float(k), 0.0, 0.1 + k, 1.5, f"U{k}") for k in range(3)])
    warned = finding(openings, "opening-width", 0.05, 0.215, 1, level=Level.WARNING)
    found = [
        finding(openings, "opening-width", 0.10, 0.17, 3),
        finding(openings, "opening-width", 0.15, 0.17, 2),
    ]
    shown = of(openings, opening_width=[*found, warned]).shown
    assert [cause.components for cause in shown] == [("U2",), ("U1",), ("U0",)]


def test_the_worst_finding_of_a_cause_stands_for_it() -> None:
    slots = [Slot(float(k), 0.0, width, 1.5, "U1") for k, width in enumerate((0.152, 0.149, 0.151))]
    (cause,) = causes(narrow(slots), 10).shown
    assert [failed.worst.value for failed in cause.failed] == [0.149]


@given(
    widths=st.lists(st.sampled_from([0.12, 0.13, 0.14]), min_size=1, max_size=20), at_most=st.integers(0, 4)
)
def test_every_finding_is_in_a_cause_or_counted_as_left_out(widths: list[float], at_most: int) -> None:
    slots = [Slot(float(k), 0.0, width, 1.5, "U1") for k, width in enumerate(widths)]
    found = causes(narrow(slots), at_most)
    assert sum(cause.count for cause in found.shown) + found.findings_of_more == len(slots)
    assert len(found.shown) + found.more == len(set(widths))
    assert sorted(set(found.of_findings.tolist())) == list(range(len(set(widths))))
