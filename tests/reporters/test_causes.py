from hypothesis import given
from hypothesis import strategies as st

from pastecheck.report import LayerReport, Level
from pastecheck.reporters._causes import Size, causes
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


def row(count: int, label: str = "U1", width_mm: float = 0.15) -> list[Slot]:
    return [Slot(0.5 * k, 0.0, width_mm, 1.5, label) for k in range(count)]


def test_nothing_found_has_no_cause() -> None:
    assert causes(a_clean_board().layers[0], 10) == ((), 0, 0)


def test_like_openings_of_one_component_are_one_cause() -> None:
    (cause,) = causes(narrow(row(12)), 10).shown
    assert (cause.count, cause.label, cause.sizes) == (12, "U1", (Size(0.15, 1.5, is_round=False),))
    assert cause.within_mm == (0.0, 0.0, 5.5, 0.0)


def test_rows_turned_by_a_quarter_are_the_same_openings() -> None:
    turned = [Slot(9.0, 0.5 * k, 0.15, 1.5, "U1") for k in range(12)]
    assert [cause.count for cause in causes(narrow([*row(12), *turned]), 10).shown] == [24]


def test_openings_of_two_components_are_two_causes() -> None:
    assert [cause.count for cause in causes(narrow([*row(3), *row(2, "U2")]), 10).shown] == [3, 2]


def test_openings_that_inches_have_rounded_are_one_cause() -> None:
    # 0.275 lies where plain rounding to 10 um would turn
    slots = [Slot(0.5 * k, 0.0, width, 1.5, "U1") for k, width in enumerate((0.2746, 0.275, 0.2753))]
    assert [cause.count for cause in causes(narrow(slots), 10).shown] == [3]


def test_openings_that_want_unlike_remedies_are_two_causes() -> None:
    found = causes(narrow(row(3), ["widen", "widen", "no room"]), 10).shown
    assert [(cause.count, cause.remedy) for cause in found] == [(2, "widen"), (1, "no room")]


def test_an_opening_that_fails_several_checks_is_one_cause() -> None:
    openings = table(row(3))
    width = [finding(openings, "opening-width", 0.15, 0.17, k) for k in (1, 2, 3)]
    aspect = [finding(openings, "aspect-ratio", 1.4, 1.5, k, level=Level.WARNING) for k in (3, 2, 1)]
    (cause,) = causes(
        layer(openings, [outcome("aspect-ratio", aspect), outcome("opening-width", width)]), 9
    ).shown
    assert (cause.level, cause.count) == (Level.ERROR, 3)
    assert [finding.check for finding in cause.worst] == ["opening-width", "aspect-ratio"]


def test_openings_that_fail_unlike_checks_are_two_causes() -> None:
    openings = table(row(3))
    width = [finding(openings, "opening-width", 0.15, 0.17, k) for k in (1, 2, 3)]
    aspect = [finding(openings, "aspect-ratio", 1.4, 1.5, 2, level=Level.WARNING)]
    found = causes(
        layer(openings, [outcome("opening-width", width), outcome("aspect-ratio", aspect)]), 9
    ).shown
    assert sorted((cause.count, len(cause.worst)) for cause in found) == [(1, 2), (2, 1)]


def test_a_round_opening_is_not_a_square_one() -> None:
    slots = [Slot(0.0, 0.0, 0.15, 0.15), Slot(1.0, 0.0, 0.15, 0.15, round=True)]
    assert {cause.sizes[0].is_round for cause in causes(narrow(slots), 10).shown} == {True, False}


def test_webs_are_causes_of_their_own() -> None:
    found = causes(a_bad_board().layers[0], 10).shown
    assert [(cause.of_pairs, cause.count, cause.label) for cause in found] == [
        (False, 1, "R9"),
        (False, 3, "U1"),
        (True, 2, "U1"),
        (False, 1, ""),
    ]


def test_a_web_between_unlike_openings_has_both_sizes() -> None:
    openings = table([Slot(0.0, 0.0, 1.0, 1.0), Slot(1.0, 0.0, 0.25, 0.8)])
    webs = [finding(openings, "web-width", 0.15, 0.17, 1, other=2)]
    (cause,) = causes(layer(openings, [outcome("web-width", webs)]), 10).shown
    assert [size.width_mm for size in cause.sizes] == [0.25, 1.0]


def test_errors_come_first_then_what_is_farthest_past_its_limit() -> None:
    openings = table([Slot(float(k), 0.0, 0.1, 1.5, f"U{k}") for k in range(3)])
    warned = finding(openings, "opening-width", 0.05, 0.215, 1, level=Level.WARNING)
    found = [
        finding(openings, "opening-width", 0.10, 0.17, 3),
        finding(openings, "opening-width", 0.15, 0.17, 2),
    ]
    shown = causes(layer(openings, [outcome("opening-width", [*found, warned])]), 10).shown
    assert [cause.label for cause in shown] == ["U2", "U1", "U0"]


def test_the_worst_finding_of_a_cause_stands_for_it() -> None:
    slots = [Slot(float(k), 0.0, width, 1.5, "U1") for k, width in enumerate((0.152, 0.149, 0.151))]
    (cause,) = causes(narrow(slots), 10).shown
    assert [finding.value for finding in cause.worst] == [0.149]


@given(labels=st.lists(st.sampled_from(["U1", "U2", ""]), min_size=1, max_size=20), at_most=st.integers(0, 4))
def test_every_finding_is_in_a_cause_or_counted_as_left_out(labels: list[str], at_most: int) -> None:
    slots = [Slot(float(k), 0.0, 0.15, 1.5, label) for k, label in enumerate(labels)]
    found = causes(narrow(slots), at_most)
    assert sum(cause.count for cause in found.shown) + found.findings_of_more == len(slots)
    assert len(found.shown) + found.more == len(set(labels))
