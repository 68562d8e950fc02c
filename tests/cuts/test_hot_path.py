"""More openings of the same shapes run no more lines of ours, and hand no more outlines to geometry."""

import pytest

from pastecheck.cuts import cut_file
from pastecheck.measurements import Measurements
from pastecheck.rulesets import OutlineSettings
from tests.drawn import FOIL
from tests.test_hot_path import guarded, lines_executed, openings_of, outlines_handed_over


def written(rows: int) -> str:
    """The file of rows of 20 openings."""
    file = cut_file(Measurements(openings_of(rows), FOIL), "bottom", OutlineSettings(overcut_mm=0.05))
    return "".join(file.chunks())


def test_columns_of_openings_are_not_iterated() -> None:
    file = cut_file(Measurements(guarded(openings_of(3)), FOIL), "bottom", OutlineSettings(overcut_mm=0.05))
    assert "".join(file.chunks()) == written(3)


def test_ten_times_the_openings_execute_few_more_lines() -> None:
    written(2)  # what is loaded on first use is no part of it
    few, many = lines_executed(lambda: written(20)), lines_executed(lambda: written(200))
    # distinct numbers are written one by one: 180 more rows have as many more places in y, and a bisection
    # takes some turns more. A loop over 3,600 more openings would run 3,600 lines more.
    assert many - few < 1000


def test_more_openings_of_the_same_shapes_hand_no_more_outlines_to_geometry(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    few = outlines_handed_over(lambda: written(20), monkeypatch)
    assert few > 0
    assert outlines_handed_over(lambda: written(200), monkeypatch) == few
