"""What is told about how openings were drawn, and about what was left out."""

from typing import Final

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, Drawing, IntArray
from pastecheck.looks import Looks
from pastecheck.openings.holes import Drawn
from pastecheck.openings.table import Openings
from pastecheck.ragged import distinct
from pastecheck.source import Diagnostic, DiagnosticLevel, Documented, Span
from pastecheck.units import NM_PER_MM, quoted, shown_um

SLIVER: Final = "sliver"
THIN_OUTLINE: Final = "thin-outline"
LETTERING: Final = "lettering"
ZERO_SIZE: Final = "zero-size"
DRAWN_TWICE: Final = "drawn-twice"
DRAWN_IN_PIECES: Final = "drawn-in-pieces"
SHARED_OPENING: Final = "shared-opening"
CROSSING_CONTOUR: Final = "crossing-contour"
COARSE_FORMAT: Final = "coarse-format"

_JUDGE_IT: Final = (
    "nothing, if it is none; else check again with --everything, or draw it as a flash or a region"
)
_MERGE: Final = (
    "cut along the merged outlines: a cutter that follows the file as it is cuts film twice or across"
)

DIAGNOSTICS: Final[dict[str, Documented]] = {
    SLIVER: Documented(
        "something too small or too narrow to be an opening is left; it was left out",
        "look at the place: contours may overlap or miss each other by a hair; --everything judges it too",
    ),
    THIN_OUTLINE: Documented(
        "a board outline, frame, ring or mark is drawn with a thin pen, and is no opening; it was left out",
        _JUDGE_IT,
    ),
    LETTERING: Documented(
        "small line work of one thin pen stands together as letters do, and is no opening; it was left out",
        _JUDGE_IT,
    ),
    ZERO_SIZE: Documented(
        "something is drawn with no area; it opens nothing",
        "nothing, if it marks a place; else give its aperture a size and export the layer again",
    ),
    DRAWN_TWICE: Documented(
        "the same thing is drawn again at the same place; it is cut once",
        "cut along the merged outlines, or film is cut twice there; look for a part that is placed twice",
    ),
    DRAWN_IN_PIECES: Documented(
        "an opening is drawn in pieces that overlap or abut; they are one opening",
        _MERGE,
    ),
    SHARED_OPENING: Documented(
        "lands of different components run together into one opening",
        "move the parts apart, or make their openings smaller, unless one deposit is meant",
    ),
    CROSSING_CONTOUR: Documented(
        "a contour or macro outline crosses itself: readers differ about what lies inside",
        "draw it as outlines that do not cross",
    ),
    COARSE_FORMAT: Documented(
        "the file's coordinates have so few decimals that lengths near a limit cannot be told",
        "export the layer with more decimals: six in millimetres",
    ),
}
"""What is told of things drawn, by code."""

SLIVER_MM2 = 0.002
"""What is smaller than this and no flash is a sliver, no opening: `common practice, no source`."""
SLIVER_MM = 0.02
"""And what is narrower than this everywhere: `common practice, no source`."""

COARSE_MM = 0.0026
"""Steps of coordinates beyond which a file is coarse: four decimals of an inch are 2.54 um, and in use."""

_NOTES: Final = {DRAWN_TWICE, DRAWN_IN_PIECES}
"""Those without an effect on what is cut; the others are warnings."""
_LEFT_OUT: Final = {SLIVER: "sliver", THIN_OUTLINE: "thin outline", LETTERING: "letter"}
_RULE: Final = {SLIVER: f" (below {SLIVER_MM2} mm2 or narrower than {SLIVER_MM} mm everywhere)"}
_LINES_SHOWN = 8


def _said(code: str, text: str, path: str, line: int) -> tuple[Diagnostic, ...]:
    level = DiagnosticLevel.NOTE if code in _NOTES else DiagnosticLevel.WARNING
    return (Diagnostic(code, level, text, Span(path, line, 1)),)


def said_of_left_out(holes: Openings, no_opening: dict[str, BoolArray], path: str) -> tuple[Diagnostic, ...]:
    """What was left out as no opening, by code: how much of it, where it lies, and how to have it judged."""
    return tuple(
        said
        for code, rows in no_opening.items()
        if rows.any()
        for said in _said_of_one(code, holes, rows, path)
    )


def _said_of_one(code: str, holes: Openings, rows: BoolArray, path: str) -> tuple[Diagnostic, ...]:
    lines = distinct(holes.line[rows])
    area_mm2 = holes.shapes.area_mm2[holes.shape[rows]].sum()
    what = f"{_many(np.count_nonzero(rows), _LEFT_OUT[code])} left out as no opening{_RULE.get(code, '')}"
    size = f"{area_mm2:.4f} mm2 within {_box(holes, rows)}"
    text = f"{what}, {size}; drawn at {_listed(lines)}; --everything judges all that is drawn"
    return _said(code, text, path, int(lines[0]))


def _box(holes: Openings, rows: BoolArray) -> str:
    """The box about some openings, in words."""
    place_mm = np.column_stack([holes.x_nm[rows], holes.y_nm[rows]]) / NM_PER_MM
    bounds_mm = holes.shapes.bounds_mm[holes.shape[rows]]
    low, high = (place_mm + bounds_mm[:, :2]).min(axis=0), (place_mm + bounds_mm[:, 2:]).max(axis=0)
    return f"({low[0]:z.2f}, {low[1]:z.2f}) to ({high[0]:z.2f}, {high[1]:z.2f}) mm"


def said_of_pieces(
    holes: Openings, drawn: Drawn, kept: BoolArray, drawing: Drawing
) -> tuple[Diagnostic, ...]:
    """Openings whose pieces a cutter that follows the file cuts one by one; shared ones are told as such."""
    pieces = drawn.pieces[holes.shape]
    rows = np.flatnonzero(kept & (pieces > 1) & (holes.label < len(drawing.labels)))
    if not len(rows):
        return ()
    lines = distinct(holes.line[rows])
    what = f"{_many(len(rows), 'opening')} drawn in {pieces[rows].sum()} pieces that overlap or abut"
    why = "a cutter that follows the file cuts film twice or across there"
    text = f"{what}, merged here into one outline each: {why}; drawn at {_listed(lines)}"
    return _said(DRAWN_IN_PIECES, text, drawing.path, int(lines[0]))


def said_of_nothing(drawing: Drawing, looks: Looks, look: IntArray) -> tuple[Diagnostic, ...]:
    """What has no area."""
    empty = shapely.is_empty(looks.outline)[look]
    lines = distinct(drawing.line[empty])
    if not len(lines):
        return ()
    text = (
        f"{_many(np.count_nonzero(empty), 'thing')} drawn with no area, opening nothing, at {_listed(lines)}"
    )
    return _said(ZERO_SIZE, text, drawing.path, int(lines[0]))


def said_of_crossings(drawing: Drawing, looks: Looks, look: IntArray) -> tuple[Diagnostic, ...]:
    """Contours that go round something twice or in a figure of eight."""
    crossing = looks.crosses[look]
    lines = distinct(drawing.line[crossing])
    if not len(lines):
        return ()
    what = f"{_many(np.count_nonzero(crossing), 'thing')} drawn with a contour that crosses itself"
    text = f"{what}, of which what lies inside an odd number of times was taken; drawn at {_listed(lines)}"
    return _said(CROSSING_CONTOUR, text, drawing.path, int(lines[0]))


def said_of_repeats(drawing: Drawing, again: IntArray) -> tuple[Diagnostic, ...]:
    """What was drawn before at the same place."""
    lines = distinct(drawing.line[again])
    if not len(lines):
        return ()
    text = f"{_many(len(again), 'thing')} drawn again at the same place, cut once, at {_listed(lines)}"
    return _said(DRAWN_TWICE, text, drawing.path, int(lines[0]))


def said_of_shared(holes: Openings, kept: BoolArray, drawing: Drawing) -> tuple[Diagnostic, ...]:
    """Openings that features of several components have run together into: they are likely no intention."""
    shared = np.flatnonzero(kept & (holes.label >= len(drawing.labels)))
    if not len(shared):
        return ()
    names = [quoted(holes.labels[row]) for row in distinct(holes.label[shared]).tolist()]
    more = f" and {len(names) - _LINES_SHOWN} more" if len(names) > _LINES_SHOWN else ""
    what = f"{_many(len(shared), 'opening')} joining lands of different components"
    lines = _listed(distinct(holes.line[shared]))
    text = f"{what} ({', '.join(names[:_LINES_SHOWN])}{more}), which will be one deposit; drawn at {lines}"
    return _said(SHARED_OPENING, text, drawing.path, int(holes.line[shared].min()))


def said_of_steps(drawing: Drawing) -> tuple[Diagnostic, ...]:
    """How coarse the coordinates are."""
    if drawing.step_mm <= COARSE_MM:
        return ()
    text = f"coordinates come in steps of {shown_um(drawing.step_mm)}: lengths may be off by as much"
    return _said(COARSE_FORMAT, text, drawing.path, 1)


def _many(count: int | np.integer, what: str) -> str:
    return f"{count} {what}{'s' if count != 1 else ''}"


def _listed(lines: IntArray) -> str:
    shown = ", ".join(str(line) for line in lines[:_LINES_SHOWN].tolist())
    more = f" and {len(lines) - _LINES_SHOWN} more" if len(lines) > _LINES_SHOWN else ""
    return f"line{'s' if len(lines) > 1 else ''} {shown}{more}"
