"""Things that belong together: held against trying every two of them."""

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.geometry.couples import couples_of_kinds, facing_couples
from pastecheck.geometry.neighbours import Things

REACH_MM = 2.2


class Lying(NamedTuple):
    """A thing: place and sides in um, direction in quarters of a right angle."""

    x: int
    y: int
    width: int
    length: int
    turn: int
    is_round: bool


def things_of(lying: Sequence[Lying]) -> Things:
    column = np.array([tuple(one) for one in lying], np.float64).reshape(-1, 6)
    x, y, width, length = (each / 1000 for each in column[:, :4].T)
    is_round = column[:, 5] > 0
    return Things(x, y, width, length, column[:, 4] * math.pi / 8, is_round, length < 1.05 * width)


def tried(lying: Sequence[Lying]) -> list[tuple[int, int]]:
    """The definition, for every two things."""

    def distance(a: Lying, b: Lying) -> float:
        return math.hypot(b.x - a.x, b.y - a.y)

    def alike(a: Lying, b: Lying) -> bool:
        return all(10 * min(s, t) >= 7 * max(s, t) for s, t in ((a.width, b.width), (a.length, b.length)))

    def faces(a: Lying, b: Lying) -> bool:
        t = a.turn * math.pi / 8
        along = (b.x - a.x) * math.cos(t) + (b.y - a.y) * math.sin(t)
        across = (b.y - a.y) * math.cos(t) - (b.x - a.x) * math.sin(t)
        return a.is_round or min(abs(along), abs(across)) <= 60.001

    found = []
    for i, a in enumerate(lying):
        for j, b in enumerate(lying[i + 1 :], i + 1):
            apart = distance(a, b)
            others = [c for k, c in enumerate(lying) if k not in (i, j)]
            third = [distance(c, d) for c in others for d in (a, b) if alike(c, d)]
            alone = all(each >= 1.2 * apart - 1e-3 for each in third)
            if apart <= 2200.001 and alike(a, b) and alone and faces(a, b) and faces(b, a):
                found.append((i, j))
    return found


steps = st.integers(0, 25).map(lambda step: 200 * step)
lying = st.builds(
    Lying, steps, steps, st.sampled_from([300, 400, 500]), st.sampled_from([500, 650, 800]),
    st.integers(0, 7), st.booleans(),
)  # fmt: skip


@given(st.lists(lying, max_size=20, unique_by=lambda one: (one.x, one.y)))
def test_couples_are_those_that_every_two_tried_give(some: list[Lying]) -> None:
    found = facing_couples(things_of(some), REACH_MM)
    assert list(zip(found.first.tolist(), found.second.tolist(), strict=True)) == tried(some)


@given(st.lists(st.tuples(steps, steps, st.integers(0, 3)), max_size=12, unique_by=lambda one: one[:2]))
def test_kinds_come_in_twos_or_not_at_all(some: list[tuple[int, int, int]]) -> None:
    x, y, kind = np.array(some, np.int64).reshape(-1, 3).T
    found = couples_of_kinds(x / 1000, y / 1000, kind, 1.5)
    expected = []
    for one in range(4):
        rows = np.flatnonzero(kind == one).tolist()
        near = {
            i: [j for j in rows if j != i and math.hypot(x[j] - x[i], y[j] - y[i]) <= 1500.001] for i in rows
        }
        if all(len(others) == 1 for others in near.values()):
            expected += [(i, others[0]) for i, others in near.items() if i < others[0]]
    assert list(zip(found.first.tolist(), found.second.tolist(), strict=True)) == sorted(expected)


def test_nothing_has_no_couples() -> None:
    assert not len(facing_couples(things_of([]), REACH_MM).first)
    none = np.zeros(0)
    assert not len(couples_of_kinds(none, none, np.zeros(0, np.int64), REACH_MM).first)
