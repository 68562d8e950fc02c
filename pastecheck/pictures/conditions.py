"""When a mark is shown: attributes by which a page hides what belongs to groups of findings it hides."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, IntArray
from pastecheck.report import Finding, Level, Status

LEVELS: Final = ("settled", "warning", "error")
"""In order: what is drawn last is seen best. Settled is what was known before, or is waived."""
NO_GROUP: Final = 0
"""Number of what is in none of the groups that are listed."""

Groups = Mapping[int, set[int]]
"""Of each level, a row of `LEVELS`, the groups in which something of it was found."""


class Condition(NamedTuple):
    """Something that is shown while any of its groups is, but for those in which it is worse."""

    level: int
    attributes: str
    """As they follow in a tag, with a space before them."""
    is_shown_at_first: bool
    """When all groups are."""


class Kinds(NamedTuple):
    """Places, openings or lines, and what was found of them: once for all of which the same was found."""

    thing: IntArray
    """Each once, in ascending order. Shape (k,)."""
    kind: IntArray
    """Row of `groups`. Shape (k,)."""
    groups: list[Groups]


class Shown(NamedTuple):
    """Of things the attributes that say with which groups they are shown."""

    texts: tuple[str, ...]
    """Each once."""
    kind: IntArray
    """Row of `texts`. Shape (k,)."""

    def rows(self, rows: IntArray | BoolArray) -> "Shown":
        """Of some of the things."""
        return Shown(self.texts, self.kind[rows])

    @property
    def each(self) -> list[str]:
        """Of each thing. Length k."""
        return list(map(self.texts.__getitem__, self.kind.tolist()))

    def apart(self) -> Iterator[tuple[str, IntArray]]:
        """Attributes, and the rows of all things that have them, in ascending order."""
        order = np.argsort(self.kind, kind="stable")
        begin = np.flatnonzero(np.diff(self.kind[order], prepend=-1)).tolist()
        for one, after in pairwise([*begin, len(order)]):
            yield self.texts[self.kind[order[one]]], order[one:after]


def level_of(found: Finding) -> int:
    """Row of `LEVELS`."""
    if found.status is not Status.NEW:
        return LEVELS.index("settled")
    return LEVELS.index("error" if found.level is Level.ERROR else "warning")


def kinds_of(of: IntArray, level: IntArray, group: IntArray) -> Kinds:
    """
    What was found of each place, opening or line.

    Args:
        of: Number of the thing, of each finding, from 0. Shape (k,).
        level: Row of `LEVELS`. Shape (k,).
        group: Number of the group. Shape (k,).
    """
    most = int(group.max(initial=0)) + 1
    span = len(LEVELS) * most
    thing, what = np.divmod(np.unique(of * span + level * most + group), span)
    begin = np.flatnonzero(np.diff(thing, prepend=-1))
    count = np.diff(begin, append=len(thing))
    kind = np.zeros(len(begin), np.int64)
    # those of one kind have the same first finding, the same second, and so on
    for nth in range(int(count.max(initial=0))):
        more = np.flatnonzero(count > nth)
        _, told = np.unique(kind[more] * span + what[begin[more] + nth], return_inverse=True)
        kind[more] = kind.max() + 1 + told
    _, first, kind = np.unique(kind, return_index=True, return_inverse=True)
    examples = zip(begin[first].tolist(), count[first].tolist(), strict=True)
    return Kinds(thing[begin], kind, [_groups(what[one : one + its], most) for one, its in examples])


def _groups(what: IntArray, most: int) -> Groups:
    found: dict[int, set[int]] = defaultdict(set)
    for one in what.tolist():
        found[one // most].add(one % most)
    return dict(found)


def shown_as(texts: Sequence[str], row: IntArray) -> Shown:
    """
    Of things the attributes that they have.

    Args:
        texts: Attributes, some of which may be the same.
        row: Row of those, of each thing. Shape (k,).
    """
    number = {text: nth for nth, text in enumerate(dict.fromkeys(texts))}
    kind = np.array([number[text] for text in texts], np.int64)
    return Shown(tuple(number), kind[row])


def conditions(groups: Groups) -> list[Condition]:
    """When marks of a thing are shown, of each level that is ever seen; the worst first."""
    made = []
    for level, left, worse in _from_the_worst(groups):
        unless = f' data-unless="{_numbers(worse)}" data-off=""' if worse else ""
        made.append(Condition(level, f"{shown_with(left)}{unless}", not worse))
    return made


def shown_with(groups: Iterable[int]) -> str:
    """The attribute of what is shown while any of some groups is."""
    return f' data-of="{_numbers(groups)}"'


def coloured_by(groups: Groups) -> str:
    """The attribute of what has the colour of the worst level that is shown: `error:1 2 warning:3`."""
    levels = (f"{LEVELS[level]}:{_numbers(left)}" for level, left, _ in _from_the_worst(groups))
    return f' data-levels="{" ".join(levels)}"'


def _from_the_worst(groups: Groups) -> Iterator[tuple[int, set[int], set[int]]]:
    """Levels, the groups of each in which there is nothing worse, and those in which there is."""
    worse: set[int] = set()
    for level in sorted(groups, reverse=True):
        if left := groups[level] - worse:
            yield level, left, set(worse)
        worse |= groups[level]


def _numbers(groups: Iterable[int]) -> str:
    return ",".join(map(str, sorted(groups)))
