"""Things near each other, and paired, held against looking at every pair."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.revisions.places import Matched, Places, one_to_one

_THINGS = st.lists(st.tuples(st.integers(-40, 40), st.integers(-40, 40), st.integers(0, 1)), max_size=12)


def near(one: list[tuple[int, int, int]], other: list[tuple[int, int, int]], reach: int) -> Matched:
    asked, there = (np.array(things, np.int64).reshape(-1, 3) for things in (one, other))
    return Places(there[:, :2], there[:, 2], reach).near(asked[:, :2], asked[:, 2])


@given(_THINGS, _THINGS, st.integers(1, 30))
def test_near_things_are_those_found_by_looking_at_every_pair(
    one: list[tuple[int, int, int]], other: list[tuple[int, int, int]], reach: int
) -> None:
    pairs = near(one, other, reach)
    found = list(zip(pairs.one.tolist(), pairs.other.tolist(), strict=True))
    every = {
        (i, j)
        for i, a in enumerate(one)
        for j, b in enumerate(other)
        if a[2] == b[2] and max(abs(a[0] - b[0]), abs(a[1] - b[1])) <= reach
    }
    assert set(found) == every
    assert len(found) == len(every)


_PAIRS = st.dictionaries(st.tuples(st.integers(0, 7), st.integers(0, 7)), st.integers(0, 9), max_size=20)


@given(_PAIRS)
def test_pairs_are_taken_cheapest_first_as_a_person_would(costs: dict[tuple[int, int], int]) -> None:
    wanted: set[tuple[int, int]] = set()
    for _, i, j in sorted((cost, i, j) for (i, j), cost in costs.items()):
        if i not in {a for a, _ in wanted} and j not in {b for _, b in wanted}:
            wanted.add((i, j))
    one, other = np.array(list(costs), np.int64).reshape(-1, 2).T
    pairs = one_to_one(Matched(one, other), np.array(list(costs.values()), np.float64))
    assert set(zip(pairs.one.tolist(), pairs.other.tolist(), strict=True)) == wanted
    assert pairs.one.tolist() == sorted(pairs.one.tolist())
