"""When a mark is shown: attributes by which a page hides what belongs to groups of findings it hides."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final, NamedTuple

from pastecheck.drawing import IntArray
from pastecheck.report import Finding, Level, Status

LEVELS: Final = ("settled", "warning", "error")
"""In order: what is drawn last is seen best. Settled is what was known before, or is waived."""
NO_GROUP: Final = 0
"""Number of what is in none of the groups that are listed."""

Groups = Mapping[int, set[int]]
"""Of each level, a row of `LEVELS`, the groups in which something of it was found."""


class Condition(NamedTuple):
    """Something that is shown while any of its groups is, but for those in which it is worse."""

    of: int
    """Which place, opening or line it is."""
    level: int
    attributes: str
    """As they follow in a tag, with a space before them."""
    is_shown_at_first: bool
    """When all groups are."""


def level_of(found: Finding) -> int:
    """Row of `LEVELS`."""
    if found.status is not Status.NEW:
        return LEVELS.index("settled")
    return LEVELS.index("error" if found.level is Level.ERROR else "warning")


def by_thing(of: IntArray, level: IntArray, group: IntArray) -> dict[int, Groups]:
    """
    What was found of each place, opening or line.

    Args:
        of: Number of the thing, of each finding. Shape (k,).
        level: Row of `LEVELS`. Shape (k,).
        group: Number of the group. Shape (k,).
    """
    found: dict[int, dict[int, set[int]]] = defaultdict(lambda: defaultdict(set))
    for thing, row, number in zip(of.tolist(), level.tolist(), group.tolist(), strict=True):
        found[thing][row].add(number)
    return dict(found)


def conditions(found: Mapping[int, Groups]) -> list[Condition]:
    """For each thing and level of it, when a mark of that level is shown; those that never are left out."""
    made = []
    for thing, groups in found.items():
        for level, left, worse in _from_the_worst(groups):
            unless = f' data-unless="{_numbers(worse)}" data-off=""' if worse else ""
            made.append(Condition(thing, level, f"{shown_with(left)}{unless}", not worse))
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


def rows_by_text(texts: Sequence[str]) -> dict[str, list[int]]:
    """Which rows have each of some texts, in the order they come."""
    rows: dict[str, list[int]] = defaultdict(list)
    for row, text in enumerate(texts):
        rows[text].append(row)
    return dict(rows)
