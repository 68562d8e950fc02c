"""A growing column holds what was added, in order, and does not change what was seen before."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.gerber.growing import Growing


@given(st.lists(st.lists(st.integers(0, 99), max_size=9), max_size=9))
def test_it_holds_everything_and_what_was_seen_stays(parts: list[list[int]]) -> None:
    column = Growing(np.array([7, 8], np.int64))
    held, seen = [7, 8], []
    for part in parts:
        seen.append((column.values, list(held)))
        column.append(np.array(part, np.int64))
        held += part
    assert column.values.tolist() == held
    assert [values.tolist() for values, _ in seen] == [before for _, before in seen]


def test_what_it_begins_with_is_not_changed() -> None:
    first = np.zeros((4, 2), np.int64)
    column = Growing(first[:2])
    column.append(np.ones((1, 2), np.int64))
    assert first.tolist() == [[0, 0]] * 4
