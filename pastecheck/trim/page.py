"""What trimming did, for the page of the result: the words of the terminal, and where it was done."""

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.openings import Openings
from pastecheck.report import LayerReport, Report
from pastecheck.reporters._page import rendered
from pastecheck.reporters._page.changed import Changed, ChangedGroup, Reason
from pastecheck.reporters._phrases import many
from pastecheck.trim import terminal
from pastecheck.trim.groups import first_of_each
from pastecheck.trim.outcome import Group, Trimming
from pastecheck.trim.plan import Why
from pastecheck.units import NM_PER_MM

GROUPS_SHOWN: Final = 300
"""Of what was changed for one reason; the rest is told together."""


def chunks(
    report: Report, before: LayerReport, done: Trimming, drawn: Openings, now: Openings, origin: IntArray
) -> Iterator[str]:
    """
    The page of the result, in pieces.

    Args:
        report: On the one layer that was read back, with what it is drawn from.
        before: On the layer as drawn.
        done: What was done.
        drawn: The openings as drawn.
        now: As they were read back.
        origin: For each of those the one that it is of, as drawn.
    """
    return rendered(report, _changed(before, done, drawn, now, origin))


def _changed(
    before: LayerReport, done: Trimming, drawn: Openings, now: Openings, origin: IntArray
) -> Changed:
    first = first_of_each(origin, len(drawn))
    box_mm = _boxes_mm(drawn)
    of_drawn, size = np.zeros(len(drawn), np.int64), np.zeros(len(drawn), np.int64)
    is_changed = np.zeros(len(drawn), bool)
    sizes = [""]
    reasons = []
    number = 0
    for why, groups in terminal.by_reason(done.groups):
        told: list[ChangedGroup] = []
        for group in groups:
            number += 1
            of_drawn[group.rows] = number
            if why is not Why.UNCHANGED:
                is_changed[group.rows] = True
                size[group.rows] = len(sizes)
                sizes.append(terminal.size_told(group.drawn))
            if len(told) < GROUPS_SHOWN:
                told.append(_group(number, group, box_mm[group.rows], now, int(first[group.rows[0]])))
        reasons.append(Reason(terminal.TITLES[why], why is Why.UNCHANGED, told, _left(groups[GROUPS_SHOWN:])))
    return Changed(
        file=done.file,
        head=terminal.head(done),
        notes=[*done.notes, *([terminal.DONE_BEFORE] if done.was_trimmed else [])],
        reasons=reasons,
        nothing=terminal.nothing_told(done),
        findings_title=terminal.FINDINGS_TITLE,
        findings=terminal.findings_told(done),
        in_all=terminal.in_all_told(done),
        drawn=drawn,
        before=before,
        is_changed=is_changed,
        group=of_drawn[origin],
        size=size[origin],
        sizes=sizes,
    )


def _group(number: int, group: Group, box_mm: FloatArray, now: Openings, row: int) -> ChangedGroup:
    """Told of all that have these boxes as drawn, with the opening that the first of them became."""
    low, high = box_mm[:, :2].min(axis=0), box_mm[:, 2:].max(axis=0)
    middle_mm = _boxes_mm(now)[row].reshape(2, 2).mean(axis=0)
    return ChangedGroup(
        number=number,
        line=terminal.line(group),
        says=terminal.said_of(group),
        at=f"{middle_mm[0]:z.4f} {middle_mm[1]:z.4f} {row + 1}",
        within=" ".join(f"{one:z.4f}" for one in (*low, *high)),
    )


def _left(groups: Sequence[Group]) -> str:
    if not groups:
        return ""
    count = many(sum(len(group.rows) for group in groups), "opening")
    return f"and {count} of {many(len(groups), 'more size')}: --json FILE tells every one"


def _boxes_mm(openings: Openings) -> FloatArray:
    """Min x, min y, max x, max y of each. Shape (n, 4)."""
    place_mm = np.column_stack([openings.x_nm, openings.y_nm]) / NM_PER_MM
    box_mm: FloatArray = openings.shapes.bounds_mm[openings.shape] + np.tile(place_mm, 2)
    return box_mm
