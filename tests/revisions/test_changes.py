"""One change to a layer is told as exactly that, and none as none."""

import math

import numpy as np
import pytest

from pastecheck.errors import UsageError
from pastecheck.report import Status
from pastecheck.revisions import Comparison, compared
from pastecheck.revisions.comparison import KINDS, LayerComparison
from tests.revisions.revised import (
    Slot,
    compared_texts,
    counts,
    fingerprints,
    only,
    revision,
    states,
    text_of,
)

PART = [Slot(0.5 * k, 0.0, 0.15, 1.5, "U1") for k in range(8)]
"""Eight openings too narrow for the rule set."""
CHIPS = [Slot(8.0 + 1.1 * k, 3.0 * j, 0.6, 0.7, f"R{j}") for j in range(3) for k in range(2)]
BARE = [Slot(2.0 * k, 9.0, 1.0, 1.0) for k in range(5)]
BOARD = [*PART, *CHIPS, *BARE]


def changed(slots: list[Slot], **how: float) -> LayerComparison:
    """The board compared with what has become of it."""
    return only(compared_texts(text_of(BOARD), text_of(slots, **how)))


def the_change(layer: LayerComparison) -> tuple[str, int, int, list[float]]:
    """Kind, rows of the two tables (from 0), and way of the only change."""
    changes = layer.changes
    assert len(changes.kind) == 1
    moved = np.round(changes.moved_mm[0], 6).tolist()
    return KINDS[int(changes.kind[0])].value, int(changes.old[0]), int(changes.new[0]), moved


def with_one(row: int, slot: Slot | None) -> list[Slot]:
    """The board with one opening replaced, or left out."""
    return [*BOARD[:row], *([] if slot is None else [slot]), *BOARD[row + 1 :]]


@pytest.mark.parametrize("row", [0, 9, 18])
@pytest.mark.parametrize("origin", [{}, {"dx": 12.7, "dy": 12.7}], ids=["here", "moved"])
class TestOneOpening:
    """The lowest or leftmost of its component or of the layer, or any other."""

    def test_that_is_wider_is_told_as_resized(self, row: int, origin: dict[str, float]) -> None:
        wider = changed(with_one(row, BOARD[row]._replace(across=BOARD[row].across + 0.05)), **origin)
        assert counts(wider) == {"resized": 1}
        assert the_change(wider)[3] == [0.0, 0.0]

    def test_that_is_wider_to_one_side_is_told_as_resized(self, row: int, origin: dict[str, float]) -> None:
        slot = BOARD[row]
        wider = changed(with_one(row, slot._replace(across=slot.across + 0.1).moved(0.05, 0.0)), **origin)
        assert counts(wider) == {"resized": 1}
        assert the_change(wider)[3] == [0.05, 0.0]

    def test_that_was_taken_out_is_told_as_removed(self, row: int, origin: dict[str, float]) -> None:
        kind, old, new, _ = the_change(changed(with_one(row, None), **origin))
        assert (kind, new) == ("removed", -1)
        assert old >= 0

    def test_that_was_put_in_is_told_as_added(self, row: int, origin: dict[str, float]) -> None:
        slot = BOARD[row]._replace(x=BOARD[row].x - 1.7, y=BOARD[row].y - 1.9, along=0.83)
        kind, old, new, _ = the_change(changed([*BOARD, slot], **origin))
        assert (kind, old) == ("added", -1)
        assert new >= 0

    @pytest.mark.parametrize("way", [(0.02, 0.0), (0.0, -0.3), (-1.3, 2.2), (25.0, 11.0)])
    def test_that_was_moved_is_told_as_moved(
        self, row: int, origin: dict[str, float], way: tuple[float, float]
    ) -> None:
        kind, old, new, moved = the_change(changed(with_one(row, BOARD[row].moved(*way)), **origin))
        assert kind == "moved"
        assert min(old, new) >= 0
        assert moved == pytest.approx(way)


@pytest.mark.parametrize(("row", "told"), [(8, {"reshaped": 1}), (12, {"reshaped": 1}), (14, {})])
def test_an_opening_that_was_turned_by_90_degrees_is_told_as_reshaped_unless_it_is_square(
    row: int, told: dict[str, int]
) -> None:
    slot = BOARD[row]
    assert counts(changed(with_one(row, slot._replace(across=slot.along, along=slot.across)))) == told


@pytest.mark.parametrize("corners", [40, 2600])
def test_an_outline_of_few_or_many_corners_is_told_as_reshaped_once_it_is_another(corners: int) -> None:
    # A gear of 6 mm, its teeth 0.3 or 0.35 mm deep: width and length are the same.
    plain, deep = gear(corners, 0.3), gear(corners, 0.35)
    assert counts(only(compared_texts(plain, plain))) == {}
    assert counts(only(compared_texts(plain, deep))) == {"reshaped": 1}


def gear(corners: int, depth: float) -> str:
    places = []
    for k in range(corners):
        angle, radius = 2 * math.pi * k / corners, 3.0 - depth * (k % 4 in {1, 2})
        places.append(f"X{round(radius * math.cos(angle) * 1e6)}Y{round(radius * math.sin(angle) * 1e6)}")
    ring = [f"{place}D01*" for place in (*places[1:], places[0])]
    return "\n".join(
        ["%FSLAX46Y46*%", "%MOMM*%", "G36*", f"{places[0]}D02*", "G01*", *ring, "G37*", "M02*", ""]
    )


def test_a_component_that_has_moved_onto_its_own_places_has_moved_as_a_whole() -> None:
    # By one pitch: seven of its eight openings lie where others of it have been.
    moved = changed([*(slot.moved(0.5, 0.0) for slot in PART), *CHIPS, *BARE])
    assert counts(moved) == {"moved": 8}
    assert np.round(moved.changes.moved_mm, 6).tolist() == [[0.5, 0.0]] * 8


def test_components_that_have_changed_places_have_moved() -> None:
    names = {"R0": "R1", "R1": "R0"}
    swapped = [slot._replace(label=names.get(slot.label, slot.label)) for slot in BOARD]
    assert counts(changed(swapped)) == {"moved": 4}


def test_components_with_other_names_at_the_same_places_are_unchanged() -> None:
    renamed = [slot._replace(label=slot.label and f"{slot.label}00") for slot in BOARD]
    assert counts(changed(renamed)) == {}


def test_a_layer_that_lost_its_names_is_unchanged_and_nothing_of_it_new() -> None:
    bare = changed([slot._replace(label="") for slot in BOARD], dx=12.7, dy=12.7)
    assert counts(bare) == {}
    assert states(bare.new).keys() == {"known"}
    assert not bare.gone


def test_the_way_of_the_whole_layer_is_told_and_is_no_change() -> None:
    moved = changed(BOARD, dx=12.7, dy=-3.3)
    assert moved.way_mm == pytest.approx((12.7, -3.3))
    assert counts(moved) == {}
    assert moved.unchanged == len(BOARD)


def test_a_row_that_grew_at_its_lower_left_is_not_told_as_moved() -> None:
    # Seen from its corner each opening lies one pitch farther; but nothing has moved.
    grown = only(compared_texts(text_of(PART), text_of([PART[0].moved(-0.5, 0.0), *PART])))
    assert the_change(grown)[:3] == ("added", -1, 0)
    assert states(grown.new)["known"] == len(fingerprints(grown.old))
    # The new opening fails by its width, its aspect and so on, and its web to the next one as the others do.
    assert grown.new is not None
    assert {found.x_mm for found in grown.new.findings(Status.NEW)} <= {-0.5, -0.25}


def test_two_boards_of_one_layer_pair_with_their_own_places() -> None:
    panel = [*BOARD, *(slot.moved(40.0, 0.0) for slot in BOARD)]
    layer_ = only(compared_texts(text_of(panel), text_of(panel, dx=12.7)))
    assert counts(layer_) == {}


def test_one_board_taken_from_a_panel_leaves_the_other_unchanged() -> None:
    panel = [*BOARD, *(slot.moved(40.0, 0.0) for slot in BOARD)]
    layer_ = only(compared_texts(text_of(panel), text_of(BOARD)))
    assert counts(layer_) == {"removed": len(BOARD)}
    assert layer_.way_mm == (0.0, 0.0)


def test_a_mirrored_layer_is_told_as_such() -> None:
    scattered = [Slot(3.0 * k * k, 2.0 * k, 0.7, 0.9) for k in range(9)]
    mirrored = only(
        compared_texts(text_of(scattered), text_of([slot._replace(x=-slot.x) for slot in scattered]))
    )
    assert mirrored.is_mirrored
    assert mirrored.way_mm is None


def test_another_board_is_told_as_such() -> None:
    other = changed([Slot(3.0 * k * k, 2.0 * k, 0.7, 0.9) for k in range(12)])
    assert other.way_mm is None
    assert not other.is_mirrored


def test_two_layers_of_opposite_sides_are_not_compared() -> None:
    top, bottom = revision(text_of(BOARD)), revision(text_of(BOARD), sides=["bottom"])
    with pytest.raises(UsageError, match="no layer in common"):
        compared(top, bottom)


def test_layers_are_matched_by_side_whatever_their_order() -> None:
    other = text_of(BARE)
    old = revision(text_of(BOARD), other)
    new = revision(other, text_of(BOARD), sides=["bottom", "top"], name="new")
    found = compared(old, new)
    assert [counts(layer) for layer in found.layers] == [{}, {}]
    assert [layer.side for layer in found.layers] == ["bottom", "top"]


def test_a_layer_that_only_one_revision_has_is_wholly_new_or_gone() -> None:
    one, both = revision(text_of(BARE)), revision(text_of(BARE), text_of(PART))
    assert [counts(layer) for layer in compared(one, both).layers] == [{}, {"added": 8}]
    back = compared(both, one)
    assert [counts(layer) for layer in back.layers] == [{}, {"removed": 8}]
    assert len(back.layers[1].gone) == len(fingerprints(both.report.layers[1]))
    assert back.verdict == "pass"


def test_the_verdict_is_that_of_what_is_new() -> None:
    found: Comparison = compared_texts(text_of(BOARD), text_of([*BOARD, Slot(30.0, 30.0, 0.1, 1.0)]))
    assert found.old.verdict == "fail"
    assert found.verdict == "fail"
    assert compared_texts(text_of(BOARD), text_of(BOARD)).verdict == "pass"
