"""What an earlier report has is known, and nothing else is; whatever is in doubt is new."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.report import Level, Report, Status
from pastecheck.revisions import held_against
from tests.revisions.exporter import Style, exported
from tests.revisions.revised import Slot, fingerprints, known, report, revision, states, text_of

PART = [Slot(0.5 * k, 0.0, 0.15, 1.5, "U1") for k in range(4)]
"""Four openings of 0.15 mm, 0.35 apart, in a film for which 0.17 mm is an error and 0.215 a warning."""
BARE = [Slot(0.5 * k, 5.0, 0.15, 1.5) for k in range(4)]
GOOD = [Slot(3.0 * k + 0.01 * k * k, 12.0, 0.8, 1.0 + 0.05 * k) for k in range(8)]
BOARD = [*PART, *BARE, *GOOD]
NARROW = ("opening-width", 0.15)


def new_places(of: Report) -> set[tuple[float, float]]:
    """Where something new was found."""
    return {(found.x_mm, found.y_mm) for found in of.layers[0].findings(Status.NEW)}


def test_a_report_held_against_itself_has_nothing_new_and_passes() -> None:
    before = report(text_of(BOARD))
    after = held_against(before, known(before))
    assert states(after.layers[0]).keys() == {"known"}
    assert (before.verdict, after.verdict) == ("fail", "pass")
    told = after.layers[0].settled
    assert told is not None
    assert (told.worse, told.gone, told.way_mm) == (0, 0, (0.0, 0.0))


def test_what_is_known_is_said_to_be_known_in_the_next_report_too() -> None:
    before = report(text_of(BOARD))
    after = held_against(before, known(held_against(before, known(before))))
    assert states(after.layers[0]).keys() == {"known"}


@pytest.mark.parametrize("origin", [{}, {"dx": 12.7, "dy": -12.7}], ids=["here", "moved"])
@pytest.mark.parametrize("label", ["U9", ""])
def test_a_new_fault_is_new_wherever_the_origin_lies(label: str, origin: dict[str, float]) -> None:
    before = report(text_of(BOARD))
    after = held_against(
        report(text_of([*BOARD, Slot(20.0, 3.0, 0.15, 1.5, label)], **origin)), known(before)
    )
    places = {(20.0 + origin.get("dx", 0.0), 3.0 + origin.get("dy", 0.0))}
    assert new_places(after) == places
    assert after.verdict == "fail"


def test_a_fault_that_was_mended_here_and_made_there_is_new_there() -> None:
    # One finding before, one after: nothing but the rest of the layer tells that it is another one.
    bad = Slot(1.0, 30.0, 0.15, 1.5)
    before = report(text_of([*GOOD, bad]))
    after = held_against(
        report(text_of([*GOOD, bad._replace(across=0.8), Slot(9.0, 24.0, 0.15, 1.5)])), known(before)
    )
    assert new_places(after) == {(9.0, 24.0)}
    told = after.layers[0].settled
    assert told is not None
    assert (told.known, told.gone) == (0, len(fingerprints(before.layers[0])))


def test_a_row_of_faults_that_was_mended_here_and_made_there_is_new_there() -> None:
    before = report(text_of([*GOOD, *BARE]))
    moved = [slot.moved(0.0, 12.0) for slot in BARE]
    good = [slot._replace(across=0.25) for slot in BARE]
    after = held_against(report(text_of([*GOOD, *good, *moved])), known(before))
    assert states(after.layers[0]).keys() == {"new"}


def test_a_row_that_grew_at_its_lower_left_is_new_there_and_not_at_its_other_end() -> None:
    # From its own corner every opening lies one pitch farther, so each has the fingerprint of its neighbour.
    before = report(text_of(BOARD))
    for grown in (PART[0].moved(-0.5, 0.0), BARE[0].moved(-0.5, 0.0)):
        after = held_against(report(text_of([grown, *BOARD])), known(before))
        assert new_places(after) <= {(grown.x, grown.y), (grown.x + 0.25, grown.y)}
        assert (grown.x, grown.y) in new_places(after)


def test_a_component_that_lost_its_lowest_opening_and_fails_at_the_next_is_new_there() -> None:
    # The opening that failed is gone, and the next one, now the first, has its fingerprint.
    row = [PART[0], *(slot._replace(across=0.3) for slot in PART[1:])]
    then = [PART[1], *(slot._replace(across=0.3) for slot in PART[2:])]
    kept = Slot(0.0, 2.0, 0.15, 1.5, "U1")  # of the same component, and it still stands there
    before = report(text_of([*GOOD, *row, kept]))
    after = held_against(report(text_of([*GOOD, *then, kept])), known(before))
    assert (PART[1].x, PART[1].y) in new_places(after)


def test_a_component_that_moved_as_a_whole_takes_what_is_known_with_it() -> None:
    before = report(text_of(BOARD))
    moved = [slot.moved(3.3, 1.1) if slot.label else slot for slot in BOARD]
    assert states(held_against(report(text_of(moved)), known(before)).layers[0]).keys() == {"known"}


def test_a_component_of_another_board_with_the_same_name_is_not_known() -> None:
    other = [slot.moved(31.0, 17.0) for slot in PART] + [
        Slot(9.0 * k, 1.3 * k * k, 1.1, 1.3) for k in range(9)
    ]
    after = held_against(
        report(text_of(other)),
        known(report(text_of(BOARD))),
    )
    assert states(after.layers[0]).keys() == {"new"}
    told = after.layers[0].settled
    assert told is not None
    assert told.way_mm is None


def test_components_that_were_renamed_keep_what_is_known_of_them() -> None:
    renamed = [slot._replace(label="IC7" if slot.label else "") for slot in BOARD]
    assert states(held_against(report(text_of(renamed)), known(report(text_of(BOARD)))).layers[0]).keys() == {
        "known"
    }


def test_a_fault_made_where_the_name_of_a_mended_component_went_is_new() -> None:
    # R1 was too narrow. It is mended and called R2 now, and R1 is what was R2, narrowed since.
    bad, good = [Slot(40.0, 3.0 * k, 0.15, 1.5, "R1") for k in range(2)], GOOD
    other = [slot.moved(9.0, 1.0)._replace(across=0.8, label="R2") for slot in bad]
    mended = [slot._replace(across=0.8, label="R2") for slot in bad]
    made = [slot._replace(across=0.15, label="R1") for slot in other]
    after = held_against(
        report(text_of([*good, *mended, *made])), known(report(text_of([*good, *bad, *other])))
    )
    assert states(after.layers[0]).keys() == {"new"}


@pytest.mark.parametrize(
    ("more", "states_"), [([], {"known"}), ([Slot(20.0, 3.0, 0.1665, 1.5)], {"known", "new"})]
)
def test_what_a_file_in_inches_passed_by_rounding_is_known_unless_there_is_more_of_it(
    more: list[Slot], states_: set[str]
) -> None:
    # 0.1665 mm is below the limit of 0.167 mm by less than the 2.54 um that four decimals of an inch round.
    edge = Slot(0.0, 30.0, 0.1665, 1.5)
    style = Style(inches=True, decimals=4)
    inches = exported(text_of([*GOOD, edge]).encode(), style, "Paste,Top")
    after = held_against(report(text_of([*GOOD, edge, *more])), known(report(inches)))
    widths = [one for one in after.layers[0].outcomes if one.check == "opening-width"]
    assert [found.level for found in widths[0].findings] == [Level.ERROR] * (1 + len(more))
    assert states(after.layers[0]).keys() == states_


def test_an_opening_that_no_earlier_file_had_is_not_passed_by_the_rounding_of_one_in_inches() -> None:
    inches = exported(text_of(GOOD).encode(), Style(inches=True, decimals=4), "Paste,Top")
    after = held_against(report(text_of([*GOOD, Slot(20.0, 3.0, 0.1665, 1.5)])), known(report(inches)))
    assert states(after.layers[0]).keys() == {"new"}
    assert after.verdict == "fail"


@pytest.mark.parametrize(
    ("across", "state"),
    [
        (0.15, "known"),
        (0.16, "known"),  # it became better
        (0.148, "known"),  # 2 um worse: less than 2 % of the limit of 0.17, which is 3.4 um
        (0.146, "new"),  # 4 um worse
        (0.05, "new"),
    ],
)
def test_what_has_become_clearly_worse_is_new_again(across: float, state: str) -> None:
    after = held_against(
        report(text_of([*GOOD, Slot(0.0, 0.0, across, 1.5)])),
        known(report(text_of([*GOOD, Slot(0.0, 0.0, 0.15, 1.5)]))),
    )
    (width,) = (
        found for one in after.layers[0].outcomes for found in one.findings if found.check == "opening-width"
    )
    assert width.status == state
    assert ("it was known at 0.150 mm" in width.text) == (state == "new")
    told = after.layers[0].settled
    assert told is not None
    assert bool(told.worse) == (state == "new")


def test_a_warning_that_has_become_an_error_is_new_again_however_little_it_takes() -> None:
    before = report(text_of([*GOOD, Slot(0.0, 0.0, 0.1675, 1.5)]))
    after = held_against(report(text_of([*GOOD, Slot(0.0, 0.0, 0.1665, 1.5)])), known(before))
    (width,) = (
        found for one in after.layers[0].outcomes for found in one.findings if found.check == "opening-width"
    )
    assert (width.level, width.status) == (Level.ERROR, Status.NEW)


def test_what_was_waived_is_not_known_once_nothing_waives_it() -> None:
    before = report(text_of(BOARD))
    (layer,) = before.layers
    waived = tuple(
        replace(one, findings=tuple(found._replace(status=Status.WAIVED) for found in one.findings))
        for one in layer.outcomes
    )
    held = replace(before, layers=(replace(layer, outcomes=waived),))
    assert held.verdict == "pass"
    assert states(held_against(before, known(held)).layers[0]).keys() == {"new"}
    assert states(held_against(held, known(before)).layers[0]).keys() == {"waived"}


def test_layers_are_matched_by_side_and_those_that_were_not_checked_are_named() -> None:
    both = report(text_of(BOARD), text_of(PART))
    bottom = revision(text_of(PART), sides=["bottom"], name="elsewhere").report
    after = held_against(bottom, known(both))
    assert states(after.layers[0]).keys() == {"known"}
    assert after.known is not None
    assert after.known.not_checked == ("board/top.gbr",)


def test_what_could_not_be_measured_this_time_is_not_called_gone() -> None:
    close = [Slot(30.0, 0.0, 0.8, 1.0), Slot(30.9, 0.0, 0.8, 1.0)]
    before = report(text_of([*BOARD, *close]))
    (layer,) = before.layers
    widths = sum(len(one.findings) for one in layer.outcomes if one.check == "opening-width")
    all_of = sum(len(one.findings) for one in layer.outcomes)
    assert 0 < widths < all_of

    def told_without(**what: object) -> int:
        outcomes = tuple(
            replace(one, findings=(), **what if one.check == "opening-width" else {})  # type: ignore[arg-type]
            for one in layer.outcomes
        )
        told = held_against(replace(before, layers=(replace(layer, outcomes=outcomes),)), known(before))
        return told.layers[0].settled.gone if told.layers[0].settled else -1

    assert told_without() == all_of
    assert told_without(missing="--land FILE") == all_of - widths


def test_a_side_that_the_known_report_has_not_is_all_new() -> None:
    after = held_against(report(text_of(BOARD), text_of(PART)), known(report(text_of(BOARD))))
    assert [set(states(layer)) for layer in after.layers] == [{"known"}, {"new"}]
    told = after.layers[1].settled
    assert told is not None
    assert told.layer == ""


def test_a_warning_about_the_file_is_known_if_it_says_the_same_of_other_lines() -> None:
    sliver = "%ADD99R,0.01X1*%\nD99*\nX30000000Y0D03*\nM02*"
    before = report(text_of(GOOD).replace("M02*", sliver))
    again = report(f"G04 one more line*\n{text_of(GOOD).replace('M02*', sliver)}")
    twice = report(text_of(GOOD).replace("M02*", sliver.replace("M02*", "X35000000Y0D03*\nM02*")))
    assert (before.verdict, again.verdict) == ("care", "care")
    assert held_against(again, known(before)).verdict == "pass"
    assert held_against(twice, known(before)).verdict == "care"


def test_a_report_without_landmarks_is_matched_by_place() -> None:
    before = report(text_of(BOARD))
    earlier = known(before)
    bare = earlier._replace(
        layers=tuple(
            layer._replace(
                landmarks=layer.landmarks._replace(
                    place_nm=layer.landmarks.place_nm[:0], size_nm=layer.landmarks.size_nm[:0]
                )
            )
            for layer in earlier.layers
        )
    )
    assert states(held_against(before, bare).layers[0]).keys() == {"known"}
    assert states(held_against(report(text_of(BOARD, dx=12.7)), bare).layers[0]).keys() == {"new"}


SLOTS = st.lists(
    st.builds(
        Slot,
        st.integers(0, 12).map(lambda k: 0.437 * k),
        st.integers(0, 6).map(lambda k: 1.871 * k),
        st.sampled_from([0.15, 0.2, 0.35]),
        st.sampled_from([0.8, 1.2]),
        st.sampled_from(["", "U1", "U2"]),
    ),
    min_size=1,
    max_size=20,
    unique_by=lambda slot: (slot.x, slot.y),
)


@given(SLOTS, st.booleans())
def test_all_of_a_layer_exported_anew_is_known(slots: list[Slot], is_moved: bool) -> None:  # noqa: FBT001
    text = text_of([*slots, *GOOD])
    style = Style(inches=True, as_regions=False, backwards=True, dx_mm=12.7 * is_moved)
    before = report(text)
    after = held_against(report(exported(text.encode(), style, "Paste,Top")), known(before))
    assert states(after.layers[0]).keys() <= {"known"}
    assert fingerprints(after.layers[0]) == fingerprints(before.layers[0])


@given(SLOTS, SLOTS)
def test_no_more_is_known_than_was_known(slots: list[Slot], others: list[Slot]) -> None:
    before, now = report(text_of([*slots, *GOOD])), report(text_of([*others, *GOOD]))
    after = held_against(now, known(before))
    told = after.layers[0].settled
    assert told is not None
    was = sum(len(one.findings) for one in before.layers[0].outcomes)
    assert told.known + told.worse + told.gone == was
    assert states(after.layers[0]).get("known", 0) == told.known
