"""Lanes: one who looks along them meets all that is near, and nobody twice."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.geometry.lanes import Lanes

place = st.tuples(st.integers(0, 60), st.integers(-30, 30))
REACH, STRIP = 9.0, 4.0


@given(st.lists(place, min_size=1, max_size=30))
def test_all_within_reach_are_met_once(places: list[tuple[int, int]]) -> None:
    along, across = np.array(places, np.float64).T
    lanes = Lanes(along, across, REACH, STRIP)
    met: list[tuple[int, int]] = []
    for looks in lanes.looks(np.arange(len(places))):
        looking = looks
        while len(looking.at):
            met += zip(lanes.row[looking.at].tolist(), lanes.row[looking.near].tolist(), strict=True)
            looking = lanes.next(looking, np.inf)
    assert len(set(met)) == len(met)
    for i, (x, y) in enumerate(places):
        near = {
            j for j, (u, v) in enumerate(places) if j != i and abs(u - x) <= REACH and abs(v - y) <= STRIP
        }
        assert near <= {j for one, j in met if one == i}


def test_who_has_seen_enough_looks_no_farther() -> None:
    # 0 sees 1 ahead at once; what comes next, 2, is 2 away, and it looks no farther than 1.5
    lanes = Lanes(np.array([0.0, 1.0, 2.0]), np.zeros(3), REACH, STRIP)
    (looks,) = lanes.looks(np.array([0]))
    assert lanes.row[looks.near].tolist() == [1]
    assert lanes.row[lanes.next(looks, 2.0).near].tolist() == [2]
    assert not len(lanes.next(looks, 1.5).near)
