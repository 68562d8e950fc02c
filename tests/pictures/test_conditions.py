"""Marks say with which groups of findings they are shown, for a page that hides groups."""

import re
from itertools import combinations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.pictures import OnPage, picture_of
from pastecheck.pictures.conditions import coloured_by, conditions, kinds_of, shown_as
from pastecheck.report import Status
from tests.pictures.judged import Judged, judged

WARNING, ERROR = 1, 2
"""Rows of the levels."""
SLOTS = "%ADD10R,0.3X1.5*%\nD10*\nX0Y0D03*\nX450000Y0D03*"
"""Two slots 0.15 mm apart, an error, and of an area ratio that passes."""
DOT = "%ADD11C,0.15*%\nD11*\nX5000000Y0D03*"
"""Far from them a hole that is too small for film of 75 um."""


def body_of(layer: Judged, groups: dict[str, int]) -> str:
    """The layer drawn, its findings in groups by their checks, in none where none is given."""
    new = layer.report.findings(Status.NEW)
    of = np.array([groups.get(found.check, 0) for found in new])
    return picture_of(layer.openings, layer.board, layer.report, on_page=OnPage(of)).body


def attributes(body: str, name: str) -> set[str]:
    """What the paths of a class say besides their classes and their data."""
    found = re.findall(rf'<(?:path|use) class="({name}[^"]*)"([^>]*?) (?:d|href)=', body)
    return {re.sub(r' data-opening="\d+"', "", more).strip() for _, more in found}


def test_what_is_of_one_group_is_shown_with_it() -> None:
    (found,) = conditions({ERROR: {3, 4}})
    assert (found.level, found.attributes) == (ERROR, ' data-of="3,4"')
    assert found.is_shown_at_first


def test_where_the_worst_may_be_hidden_there_is_a_milder_mark_that_is_shown_then() -> None:
    found = conditions({WARNING: {4}, ERROR: {3}})
    assert [(one.level, one.attributes) for one in found] == [
        (ERROR, ' data-of="3"'),
        (WARNING, ' data-of="4" data-unless="3" data-off=""'),
    ]


def test_a_milder_mark_of_the_same_group_is_never_seen_and_not_drawn() -> None:
    (one,) = conditions({WARNING: {3}, ERROR: {3}})
    assert one.level == ERROR


def test_an_opening_has_the_colour_of_the_worst_that_is_shown() -> None:
    assert coloured_by({WARNING: {2, 9}, ERROR: {10}}) == ' data-levels="error:10 warning:2,9"'


FOUND = st.lists(st.tuples(st.integers(0, 5), st.integers(0, 2), st.integers(0, 3)), max_size=40)
"""Things, levels and groups."""


@given(found=FOUND)
def test_things_are_of_one_kind_if_the_same_was_found_of_them(found: list[tuple[int, int, int]]) -> None:
    expected: dict[int, dict[int, set[int]]] = {}
    for thing, level, group in found:
        expected.setdefault(thing, {}).setdefault(level, set()).add(group)
    kinds = kinds_of(*np.array(found, np.int64).reshape(-1, 3).T)
    assert kinds.thing.tolist() == sorted(expected)
    told = [kinds.groups[kind] for kind in kinds.kind.tolist()]
    assert told == [expected[thing] for thing in sorted(expected)]
    # and none of the kinds is there twice
    assert all(one != other for one, other in combinations(kinds.groups, 2))


def test_attributes_are_told_of_each_thing_and_apart() -> None:
    shown = shown_as(["a", "b", "a"], np.array([2, 1, 0, 1]))
    assert shown.each == ["a", "b", "a", "b"]
    assert [(text, rows.tolist()) for text, rows in shown.apart()] == [("a", [0, 2]), ("b", [1, 3])]
    assert shown.rows(np.array([3, 0])).each == ["b", "a"]


def test_marks_lines_and_figures_of_a_layer_tell_their_groups() -> None:
    body = body_of(
        judged(SLOTS, DOT), {"web-width": 1, "web-slenderness": 1, "opening-width": 2, "area-ratio": 2}
    )
    assert attributes(body, "measured") == {'data-of="1"'}
    assert 'data-of="1" href="#top-0.150"' in body
    halos = attributes(body, "halo")
    assert 'data-of="1"' in halos
    assert any(re.match(r'data-of="(0,)?2"', one) for one in halos)
    assert 'data-levels="error:1"' in attributes(body, "outlines")


def test_of_very_many_openings_those_of_the_same_groups_are_drawn_together() -> None:
    rows = "%ADD10R,0.3X1.5*%\nD10*\n" + "\n".join(f"X{450000 * nth}Y0D03*" for nth in range(5000))
    body = body_of(judged(rows), dict.fromkeys(("web-width", "web-slenderness", "pitch-fraction"), 1))
    assert "data-opening" not in body
    assert attributes(body, "outlines") >= {'data-levels="error:1"'}


def test_a_picture_that_hides_nothing_says_nothing_of_groups() -> None:
    assert "data-o" not in judged(SLOTS, DOT).picture().body.replace("data-opening", "")
