"""Findings put together for the page as a person would mend them, in the words of the terminal report."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import IntArray
from pastecheck.report import Finding, LayerReport, Level, Status
from pastecheck.reporters._causes import causes
from pastecheck.reporters._phrases import components, how_often, many, place, what, where
from pastecheck.reporters._told import Cause, Kind
from pastecheck.reporters.terminal import REMEDIES_SHOWN
from pastecheck.units import slack_told

GROUPS_SHOWN: Final = 300
ROWS_SHOWN: Final = 200
"""Findings of a group that are told one by one, where a layer has more than `ALL_ROWS`."""
ALL_ROWS: Final = 6_000


@dataclass(frozen=True, slots=True)
class Row:
    """One finding."""

    level: str
    text: str
    at: str
    """Where the drawing flies to: x, y, and the openings."""
    place: str
    label: str
    line: int
    remedy: str
    """Empty where the group tells it for all."""


@dataclass(frozen=True, slots=True)
class Group:
    """One cause: what a person would mend in one go."""

    number: int
    level: str
    status: str
    """new, or known and waived."""
    heading: str
    checks: str
    failed: Sequence[tuple[str, str]]
    """What is wrong, and how often."""
    where: str
    at: str
    within: str
    remedies: Sequence[str]
    has_own: bool
    """Whether its findings want unlike changes, so that each tells its own."""
    components: str
    of: str
    """The components, or what it is about where the file names none, as the head of what to do."""
    rows: Sequence[Row]
    rows_left: int
    count: int


class Told(NamedTuple):
    """Groups, the worst first."""

    groups: Sequence[Group]
    left: str
    """What is not among them, in words; else empty."""
    numbers: IntArray
    """Of each finding that of its group, from 1; 0 of what is in none of them. Shape (k,)."""


def groups_of(layer: LayerReport) -> Told:
    """
    The findings of a layer, put together.

    Args:
        layer: With those findings only that are to be told.
    """
    found = causes(layer, GROUPS_SHOWN)
    every = [each for outcome in layer.outcomes for each in outcome.findings]
    most = ROWS_SHOWN if len(every) > ALL_ROWS else len(every)
    rows: list[list[Finding]] = [[] for _ in found.shown]
    for one, nth in zip(every, found.of_findings.tolist(), strict=True):
        if nth < len(rows):
            rows[nth].append(one)
    slack = slack_told(layer.slack_mm)
    groups = []
    for number, (cause, its) in enumerate(zip(found.shown, rows, strict=True), 1):
        its.sort(key=lambda one: one.level is not Level.ERROR)
        groups.append(_group(number, cause, its, most, slack))
    left = f"{found.more} more groups, with {many(found.findings_of_more, 'finding')}"
    numbers = np.where(found.of_findings < len(groups), found.of_findings + 1, 0)
    return Told(groups, left if found.more else "", numbers)


def _group(number: int, cause: Cause, its: Sequence[Finding], most: int, slack: str) -> Group:
    worst = cause.failed[0].worst
    return Group(
        number=number,
        level=cause.level.value,
        status=" and ".join(dict.fromkeys(one.status.value for one in its)),
        heading=what(cause),
        checks=" ".join(failed.worst.check for failed in cause.failed),
        failed=[(failed.worst.text.removesuffix(slack), how_often(failed, cause)) for failed in cause.failed],
        where=where(cause),
        at=_at(worst),
        within=" ".join(f"{one:z.4f}" for one in cause.within_mm),
        remedies=list(_remedies(cause)),
        has_own=_has_own(cause),
        components=", ".join(sorted({name for one in its for name in one.label.split("+") if name})),
        of=f"{components(cause.components) if cause.components else what(cause)}: ",
        rows=[_row(one, slack, has_own=_has_own(cause)) for one in its[:most]],
        rows_left=max(len(its) - most, 0),
        count=len(its),
    )


def _remedies(cause: Cause) -> Iterator[str]:
    """Of loose pairs, of which each may want another change, only that of the worst."""
    shown = 1 if cause.kind is Kind.LOOSE_PAIRS else REMEDIES_SHOWN
    for remedy, has_others in zip(cause.remedies[:shown], cause.have_others, strict=False):
        yield f"{remedy} (for the worst; the table has the figures of each)" if has_others else remedy
    if (left := len(cause.remedies) - shown) > 0:
        yield f"and {many(left, 'other change')} for some of them, as the table has them"


def _has_own(cause: Cause) -> bool:
    return len(cause.remedies) > 1 or any(cause.have_others)


def _row(one: Finding, slack: str, *, has_own: bool) -> Row:
    text, shown = one.text.removesuffix(slack), place(one.x_mm, one.y_mm)
    remedy = one.remedy if has_own else ""
    level = one.level.value if one.status is Status.NEW else f"{one.level.value}, {one.status.value}"
    return Row(level, text, _at(one), shown, one.label, one.line, remedy)


def _at(one: Finding) -> str:
    openings = " ".join(str(row) for row in (one.opening, one.other) if row is not None)
    return f"{one.x_mm:z.4f} {one.y_mm:z.4f} {openings}".rstrip()
