"""
The measurements of every opening as CSV (RFC 4180), for spreadsheets and scripts.

Columns of the checks in force follow those that every table has: the worst reading of each opening. Held
against an earlier report, two more count in how many new and known findings it is.

A point for decimals, lines end in LF, nothing in a cell means that there is no such reading. Where a report
is of several layers, a last column names the layer, and openings are numbered anew in each. A label that a
spreadsheet would take for a formula (it begins with = + - @, a tab or a carriage return) gets an apostrophe
in front, for it comes from a file that somebody else may have made.
"""

import re
from collections.abc import Iterator, Sequence
from itertools import chain, groupby
from operator import itemgetter

import numpy as np
from numpy.typing import NDArray

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.report import LayerReport, Report, Status
from pastecheck.reporters import Reporter
from pastecheck.reporters._harmless import harmless

_BLANKS = ("\t", "\r", "\n")
_BLANK = re.compile(r"([\t\r\n])")

HEADER = (
    "opening,x_mm,y_mm,width_mm,length_mm,area_mm2,perimeter_mm,area_ratio,aspect_ratio,web_mm,label,line"
)

TextArray = NDArray[np.object_]

_AT_ONCE = 20_000
_STATES = (Status.NEW, Status.KNOWN)
"""Whose findings are counted, once there is an earlier report."""
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def chunks(report: Report) -> Iterator[str]:
    """The table in pieces."""
    many = len(report.layers) > 1
    names = list(dict.fromkeys(name for layer in report.layers for name in layer.table.more))
    states = [*(_STATES if report.known else ()), *((Status.WAIVED,) if report.waivers else ())]
    counts = [f"{state}_findings" for state in states]
    yield ",".join([HEADER, *names, *counts, *(["layer"] if many else [])]) + "\n"
    for layer in report.layers:
        yield from _rows(layer, names, states, f",{_cell(layer.file)}\n" if many else "\n")


def _rows(layer: LayerReport, names: Sequence[str], states: Sequence[Status], end: str) -> Iterator[str]:
    table = layer.table
    nothing = np.full(len(table), np.nan)
    _, first, shape = np.unique(table.shape, return_index=True, return_inverse=True)
    always = (
        table.width_mm,
        table.length_mm,
        table.area_mm2,
        table.perimeter_mm,
        table.area_ratio,
        table.aspect_ratio,
        table.web_mm,
    )
    cells = (
        *_texts(always, first, shape),
        np.array([_cell(text) for text in table.labels], np.object_)[table.label],
        table.line,
        *_texts([table.more.get(name, nothing) for name in names], first, shape),
        *(_count(layer, state) for state in states),
    )
    columns = (
        np.arange(1, len(table) + 1),
        np.round(table.x_mm, 6) + 0.0,  # no negative zero
        np.round(table.y_mm, 6) + 0.0,
        *cells,
    )
    row = "%d,%.6f,%.6f" + ",%s" * len(cells) + end.replace("%", "%%")
    for start in range(0, len(table), _AT_ONCE):
        some = zip(*(column[start : start + _AT_ONCE].tolist() for column in columns), strict=True)
        yield row * min(_AT_ONCE, len(table) - start) % tuple(chain.from_iterable(some))


def _texts(columns: Sequence[FloatArray], first: IntArray, shape: IntArray) -> Iterator[TextArray]:
    """
    Columns as text; neighbours that go by the outline alone become one, written once for each outline.

    Args:
        columns: Each of shape (n,).
        first: An opening of each outline.
        shape: The outline of each opening. Shape (n,).
    """
    by_outline = [np.array_equal(column, column[first][shape], equal_nan=True) for column in columns]
    for are_by_outline, some in groupby(zip(by_outline, columns, strict=True), key=itemgetter(0)):
        if are_by_outline:
            rows = zip(*(_numbers(column[first]) for _, column in some), strict=True)
            yield np.array([",".join(cells) for cells in rows], np.object_)[shape]
        else:
            yield from (_each_once(column) for _, column in some)


def _count(layer: LayerReport, state: Status) -> IntArray:
    """How many findings of a state each opening is in. Shape (n,)."""
    rows = [row for found in layer.findings(state) for row in (found.opening, found.other) if row is not None]
    return np.bincount(np.array(rows, np.int64) - 1, minlength=len(layer.table))


def _each_once(column: FloatArray) -> TextArray:
    """Cells of a column, equal numbers written once. Shape (n,)."""
    distinct, row = np.unique(column, return_inverse=True)
    return np.array(_numbers(distinct), np.object_)[row]


def _numbers(column: FloatArray) -> list[str]:
    return ["" if value != value else f"{value:.9g}" for value in column.tolist()]  # noqa: PLR0124 -- NaN


def _cell(text: str) -> str:
    """A text as a cell: quoted where it must be, and nothing that would run."""
    text = text.encode("utf-8", "replace").decode("utf-8")
    text = "".join(piece if piece in _BLANKS else harmless(piece) for piece in _BLANK.split(text))
    if text.startswith(_FORMULA):
        text = f"'{text}"
    if any(character in text for character in ',"\r\n'):
        return '"' + text.replace('"', '""') + '"'
    return text


REPORTER = Reporter("csv", "the measurements of every opening, for spreadsheets", chunks)
