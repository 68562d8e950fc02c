"""
No Python loop over openings or pairs, from reading to judging.

Held in two ways, for each alone is blind. Columns that refuse to be iterated catch `for` over a column; but
some functions of numpy return plain arrays of them, and `tolist` hides a loop from them. So lines of ours
that are executed are counted too: ten times the openings must not execute more of them.
"""

import sys
from collections.abc import Callable, Iterator
from dataclasses import fields, replace
from functools import cached_property
from types import FrameType, FunctionType
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
import shapely

from pastecheck import gerber, rulesets
from pastecheck.check import Check, Scope
from pastecheck.checks import catalogue
from pastecheck.judge import judge, opening_table
from pastecheck.judge.readings import judged_rules
from pastecheck.lands import Board, lands_of, profile_of
from pastecheck.measurements import Measurements, Sheet
from pastecheck.openings import Openings, cut_from
from tests.drawn import FOIL, mm_layer, read_text

if TYPE_CHECKING:
    from _typeshed import TraceFunction

RULES = "polyester-75-knife"
REACH_MM = 0.5

each_check = pytest.mark.parametrize("check", catalogue().values(), ids=catalogue())


class Column(np.ndarray[tuple[int, ...], np.dtype[np.int64]]):
    """A column that can be computed with, and not be iterated; x and y of places may be told apart."""

    def __iter__(self) -> Iterator[Any]:
        if self.ndim == 2 and len(self) == 2:
            return super().__iter__()
        raise AssertionError("a column was iterated")


def grid(rows: int) -> str:
    """
    Rows of 20 things at 1 mm: rectangles, discs and overlapping pairs; their webs pass.

    A disc of 0.4 beside a rectangle of 0.5 x 0.6 leaves 0.55; the pairs are two rectangles 0.1 apart. Aside
    stand a chip and four panes.
    """
    lines = ["%ADD10R,0.5X0.6*%", "%ADD11C,0.4*%"]
    for code, columns, x_nm in ((10, range(0, 10, 2), 0), (11, range(1, 10, 2), 0), (10, range(10, 20), 0)):
        lines.append(f"D{code}*")
        lines += [f"X{x * 10**6 + x_nm}Y{y * 10**6}D03*" for y in range(rows) for x in columns]
    lines += [f"X{x * 10**6 + 100_000}Y{y * 10**6}D03*" for y in range(rows) for x in range(10, 20)]
    lines += ["X-5000000Y0D03*", "X-4000000Y0D03*", "%ADD12R,1X1*%", "D12*"]
    lines += [f"X{x}Y{y}D03*" for x in (-8_700_000, -7_300_000) for y in (-700_000, 700_000)]
    return mm_layer(*lines)


def openings_of(rows: int) -> Openings:
    return cut_from(gerber.read(grid(rows).encode(), "grid.gbr"))


def board_of(rows: int, more: int = 0) -> Board:
    """Lands as large as the openings, with so many rows more, in a mask that is open 0.05 mm about them."""
    copper = grid(rows + more).replace("M02*", "%ADD13R,2.8X2.8*%\nD13*\nX-8000000Y0D03*\nM02*")
    mask = copper.replace("R,0.5X0.6", "R,0.6X0.7").replace("C,0.4", "C,0.5")
    edge = ("X-19000000Y-9000000D02*", *(f"{one}D01*" for one in ("X99000000", "Y999000000", "X-19000000")))
    outline = mm_layer("%ADD10C,0.1*%", "D10*", *edge, "Y-9000000D01*")
    return Board(lands_of(read_text(copper), read_text(mask)), profile_of(read_text(outline)))


def guarded_board(board: Board) -> Board:
    """The same lands, in columns that cannot be iterated."""
    assert board.lands is not None
    columns: dict[str, Any] = {one.name: getattr(board.lands, one.name) for one in fields(board.lands)}
    guarded: dict[str, Any] = {
        name: of.view(Column) for name, of in columns.items() if isinstance(of, np.ndarray)
    }
    return replace(board, lands=replace(board.lands, **guarded))


def guarded(openings: Openings) -> Openings:
    """The same openings, in columns that cannot be iterated; labels are put into words for findings only."""
    columns = {
        field.name: getattr(openings, field.name).view(Column)
        for field in fields(openings)
        if isinstance(getattr(openings, field.name), np.ndarray) and field.name != "label"
    }
    assert columns.keys() == {"shape", "x_nm", "y_nm", "line", "of_object", "of_aperture"}
    return replace(openings, **columns)


class GuardedMeasurements(Measurements):
    """Measurements whose columns cannot be iterated, even where a function of numpy has made them plain."""

    def __getattribute__(self, name: str) -> object:
        value = super().__getattribute__(name)
        measured = isinstance(getattr(Measurements, name, None), cached_property)
        return value.view(Column) if measured and type(value) is np.ndarray else value


def test_a_guarded_column_refuses_to_be_iterated() -> None:
    column = guarded(openings_of(2)).x_nm
    with pytest.raises(AssertionError, match="iterated"):
        list(column)
    with pytest.raises(AssertionError, match="iterated"):
        list(zip(column + 1, column[1:], strict=False))


@each_check
def test_a_check_measures_columns_that_cannot_be_iterated(check: Check) -> None:
    plain, board = openings_of(3), board_of(3, more=1)
    scope = Scope(check.params(), REACH_MM)
    sheet = Sheet(300, 300)
    m = GuardedMeasurements(guarded(plain), FOIL, sheet=sheet, board=guarded_board(board))
    readings = check.measure(m, scope)
    expected = check.measure(Measurements(plain, FOIL, sheet=sheet, board=board), scope)
    assert len(readings.values)
    assert np.array_equal(readings.values, expected.values, equal_nan=True)


def test_judging_compares_columns_that_cannot_be_iterated() -> None:
    m = GuardedMeasurements(guarded(openings_of(3)), FOIL)
    outcomes = judge(m, rulesets.load(RULES))
    table = opening_table(m, rulesets.load(RULES))
    assert [outcome.findings for outcome in outcomes] == [()] * len(outcomes)
    assert len(table.width_mm) == 66


def lines_executed(job: Callable[[], object]) -> int:
    """How many lines of pastecheck a job executes; each turn of a loop counts its lines again."""
    count = 0

    def trace(frame: FrameType, event: str, _argument: object) -> "TraceFunction | None":
        nonlocal count
        if not frame.f_globals.get("__name__", "").startswith("pastecheck"):
            return None
        count += event == "line"
        return trace

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        job()
    finally:
        sys.settrace(before)
    return count


def test_counting_lines_sees_loops_and_comprehensions() -> None:
    # So the test below is not blind: apertures are looked at one by one.
    def read_and_cut(count: int) -> None:
        apertures = [f"%ADD{10 + k}C,0.{100 + k}*%" for k in range(count)]
        flashes = [f"D{10 + k}*\nX{k}000000Y0D03*" for k in range(count)]
        cut_from(gerber.read(mm_layer(*apertures, *flashes).encode(), "apertures.gbr"))

    read_and_cut(1)
    assert lines_executed(lambda: read_and_cut(50)) - lines_executed(lambda: read_and_cut(1)) > 49


def test_ten_times_the_openings_execute_no_more_lines() -> None:
    rule_set = rulesets.load(RULES)

    def check(rows: int) -> None:
        m = Measurements(openings_of(rows), rule_set.foil, board=board_of(rows))
        assert len(m.openings) == 20 * rows + 6
        assert not any(outcome.findings for outcome in judge(m, rule_set))
        opening_table(m, rule_set)

    check(2)  # what is loaded on first use is no part of it
    few, many = lines_executed(lambda: check(20)), lines_executed(lambda: check(200))
    # A loop over 3,600 more openings would execute 3,600 lines more. Linking what is connected may take some
    # turns more, as their number grows with the logarithm of the longest chain.
    assert many - few < 100


def outlines_handed_over(job: Callable[[], object], monkeypatch: pytest.MonkeyPatch) -> int:
    """How many geometries a job hands to the geometry library; the same one counts each time."""
    count = 0

    def counting(function: Callable[..., object]) -> Callable[..., object]:
        def counted(*arguments: Any, **named: Any) -> object:
            nonlocal count
            some = (
                one
                for one in (*arguments, *named.values())
                if getattr(one, "dtype", None) == np.dtype(object)
            )
            count += sum(one.size for one in some)
            return function(*arguments, **named)

        return counted

    with monkeypatch.context() as patched:
        for name, function in vars(shapely).copy().items():
            if isinstance(function, FunctionType):
                patched.setattr(shapely, name, counting(function))
        job()
    return count


def test_more_openings_of_the_same_shapes_hand_no_more_outlines_to_geometry(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # So what is expensive is done once for each distinct shape and pair: ten times the openings cost no more
    # but columns.
    def measure(rows: int) -> int:
        m = Measurements(openings_of(rows), FOIL, sheet=Sheet(300, 300))
        rules = rulesets.load(RULES).rules
        return outlines_handed_over(lambda: judged_rules(m, rules, catalogue()), monkeypatch)

    few, many = measure(20), measure(200)
    assert few > 0
    assert many == few
