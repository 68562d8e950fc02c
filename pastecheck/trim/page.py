"""What trimming did, for the page of the result: the words of the terminal, and where it was done."""

from collections.abc import Iterator
from typing import Final

import numpy as np

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.openings import Openings, boxes_mm
from pastecheck.report import LayerReport, Report
from pastecheck.reporters._page import rendered
from pastecheck.reporters._page.changed import Changed, ChangedGroup, Reason
from pastecheck.trim import terminal
from pastecheck.trim.groups import first_of_each
from pastecheck.trim.outcome import Group, Trimming
from pastecheck.trim.plan import Why

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
    box_mm, now_mm = (boxes_mm(each.shapes, each.shape, each.x_nm, each.y_nm) for each in (drawn, now))
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
                row = int(first[group.rows[0]])
                told.append(_group(number, group, box_mm[group.rows], (row, now_mm[row])))
        left = terminal.left_told(groups[GROUPS_SHOWN:])
        reasons.append(Reason(terminal.TITLES[why], why is Why.UNCHANGED, told, left))
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


def _group(number: int, group: Group, box_mm: FloatArray, became: tuple[int, FloatArray]) -> ChangedGroup:
    """Told of all that have these boxes as drawn, with the opening that the first became, and its box."""
    row, now_mm = became
    low, high = box_mm[:, :2].min(axis=0), box_mm[:, 2:].max(axis=0)
    middle_mm = now_mm.reshape(2, 2).mean(axis=0)
    return ChangedGroup(
        number=number,
        line=terminal.line(group),
        says=terminal.said_of(group),
        at=f"{middle_mm[0]:z.4f} {middle_mm[1]:z.4f} {row + 1}",
        within=" ".join(f"{one:z.4f}" for one in (*low, *high)),
    )
