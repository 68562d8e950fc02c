"""Which layer of one revision is which of the other."""

from collections.abc import Callable, Sequence
from pathlib import PurePosixPath
from typing import Final, NamedTuple

from pastecheck.layer_names import UNKNOWN


class Side(NamedTuple):
    """What tells one layer of a board from another."""

    file: str
    """Its path, as reports show it."""
    side: str
    """top, bottom or unknown."""


_KEYS: Final[tuple[Callable[[Side], object], ...]] = (
    lambda one: one,
    lambda one: one.side if one.side != UNKNOWN else one,
    lambda one: PurePosixPath(one.file).name,
    lambda _one: None,
)
"""By what layers are matched, one after the other: all, side, name; and at last that there is only one."""


def counterparts(old: Sequence[Side], new: Sequence[Side]) -> list[int | None]:
    """
    The row of the old layer that each of the new ones is; None where it is none of them.

    Layers of the same path and side are the same; of the rest those of one side, if each revision has only
    one of it; then those of one file name; and last the only ones that are left. Never is a top layer taken
    for a bottom layer.

    Example:
        >>> a, b = Side("a/top.gbr", "top"), Side("a/bot.gbr", "bottom")
        >>> counterparts([a, b], [Side("b/bot.gbr", "bottom"), Side("b/top.gbr", "top")])
        [1, 0]
    """
    found: list[int | None] = [None] * len(new)
    for key in _KEYS:
        theirs = [(row, key(one)) for row, one in enumerate(old) if row not in found]
        mine = [(row, key(one)) for row, one in enumerate(new) if found[row] is None]
        for row, want in mine:
            alike = [other for other, has in theirs if has == want]
            is_only_one = [has for _, has in mine].count(want) == len(alike) == 1
            if is_only_one and _may_be(old[alike[0]], new[row]):
                found[row] = alike[0]
    return found


def _may_be(one: Side, other: Side) -> bool:
    return UNKNOWN in {one.side, other.side} or one.side == other.side
