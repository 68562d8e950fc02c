"""Every example of every check, from Gerber statements to readings."""

import math

import pytest

from pastecheck import checks, gerber
from pastecheck.check import Check, Example, Readings, Scope
from pastecheck.measurements import Foil, Measurements
from pastecheck.openings import cut_from

EXAMPLES = [
    pytest.param(check, example, id=f"{check_id}: {example.says}")
    for check_id, check in checks.catalogue().items()
    for example in check.examples
]
every_example = pytest.mark.parametrize(("check", "example"), EXAMPLES)

LAST_DIGIT = 5e-8
"""Examples are written with seven digits behind the point."""


def _measured(example: Example) -> Measurements:
    text = f"%FSLAX46Y46*%\n%MOMM*%\n{example.gerber}\nM02*\n"
    openings = cut_from(gerber.read(text.encode(), "example.gbr"))
    return Measurements(openings, Foil("film", "polyester", example.thickness_mm))


def _readings(check: Check, example: Example) -> Readings:
    return check.measure(_measured(example), Scope(check.params(), example.reach))


@every_example
def test_an_example_reads_what_was_worked_out_by_hand(check: Check, example: Example) -> None:
    readings = _readings(check, example)
    assert readings.values.tolist() == pytest.approx(example.expect, rel=0, abs=LAST_DIGIT)


@every_example
def test_every_reading_says_how_far_off_it_can_be(check: Check, example: Example) -> None:
    readings = _readings(check, example)
    assert readings.error.shape == readings.values.shape
    assert all(
        0 < error < 1e-3 or math.isnan(value)
        for error, value in zip(readings.error.tolist(), readings.values.tolist(), strict=True)
    )


@every_example
def test_rows_of_readings_are_rows_of_the_table(check: Check, example: Example) -> None:
    readings = _readings(check, example)
    assert readings.opening.shape == readings.values.shape
    if readings.other is not None:
        assert (readings.opening < readings.other).all()


def _wishes(check: Check, example: Example) -> list[float]:
    """All figures that a check wishes for when every reading has to be 1.5 times as large."""
    readings = _readings(check, example)
    limit = 1.5 * max(readings.values.tolist())
    wish = check.wish(_measured(example), readings, limit)
    columns = [c for c in (wish.width_mm, wish.thickness_mm, wish.give_way_mm) if c is not None]
    return [figure for column in columns for figure in column.tolist()]


@every_example
def test_what_is_wished_for_is_a_length_or_nothing(check: Check, example: Example) -> None:
    wishes = _wishes(check, example)
    assert wishes
    assert all(math.isnan(figure) or 0 < figure < math.inf for figure in wishes)
