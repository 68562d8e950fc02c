"""Laws of comparing: with itself, with what was exported anew, there and back."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.revisions.comparison import KINDS, LayerComparison
from tests.revisions.exporter import Style, exported
from tests.revisions.revised import compared_texts, counts, fingerprints, only, states
from tests.strategies import CIRCLE, OBROUND, RECTANGLE, REGION, STROKE, Thing, layer, layers

EXPORTS = [
    Style(inches=True, as_regions=True, backwards=True, dx_mm=12.7, dy_mm=12.7),
    Style(backwards=True, dx_mm=-12.7),
]


@given(layers())
def test_a_layer_compared_with_itself_is_unchanged(drawn: list[Thing]) -> None:
    same = only(compared_texts(layer(drawn), layer(drawn)))
    assert_unchanged(same)
    assert same.way_mm == (0.0, 0.0)


# Without polygons, which gerbonara turns the wrong way (tests/outside/gerbonara_reader.py).
@given(layers((CIRCLE, RECTANGLE, OBROUND, STROKE, REGION)), st.sampled_from(EXPORTS))
def test_a_layer_exported_anew_is_unchanged_and_keeps_all_fingerprints(
    drawn: list[Thing], style: Style
) -> None:
    text = layer(drawn)
    again = only(compared_texts(text, exported(text.encode(), style, "Paste,Top")))
    assert_unchanged(again)
    assert again.way_mm == pytest.approx((style.dx_mm, style.dy_mm), abs=1e-3)


def assert_unchanged(layer: LayerComparison) -> None:
    assert counts(layer) == {}
    assert fingerprints(layer.new) == fingerprints(layer.old)
    assert states(layer.new).keys() <= {"known"}
    assert not layer.gone


@pytest.mark.slow
@given(layers(), layers())
def test_there_and_back_mirror_each_other(one: list[Thing], other: list[Thing]) -> None:
    there = only(compared_texts(layer(one), layer(other)))
    back = only(compared_texts(layer(other), layer(one)))
    assert signature(there) == signature(back, is_back=True)
    assert there.unchanged == back.unchanged
    assert states(there.new).get("known", 0) <= len(fingerprints(there.old))


@pytest.mark.slow
@given(st.data(), layers())
def test_a_board_with_some_things_changed_mirrors_itself(data: st.DataObject, drawn: list[Thing]) -> None:
    kept = [thing for thing in drawn if data.draw(st.booleans())] or drawn[:1]
    there = only(compared_texts(layer(drawn), layer(kept)))
    back = only(compared_texts(layer(kept), layer(drawn)))
    assert signature(there) == signature(back, is_back=True)


def signature(layer: LayerComparison, *, is_back: bool = False) -> list[Any]:
    """The changes of a comparison, seen from the old layer."""
    mirrored = {"added": "removed", "removed": "added"}
    changes = layer.changes
    rows = zip(changes.kind.tolist(), changes.old.tolist(), changes.new.tolist(), strict=True)
    named = [(KINDS[kind].value, old, new) for kind, old, new in rows]
    if is_back:
        named = [(mirrored.get(kind, kind), new, old) for kind, old, new in named]
    return sorted(named)
