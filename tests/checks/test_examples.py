"""Every example of every check, from Gerber statements to readings."""

import math
from dataclasses import fields

import numpy as np
import pytest

from pastecheck import checks, gerber
from pastecheck.check import Check, Example, Readings, Scope, Wish, Worse
from pastecheck.measurements import Foil, Measurements
from pastecheck.openings import cut_from
from tests.drawn import board

EXAMPLES = [
    pytest.param(check, example, id=f"{check_id}: {example.says}")
    for check_id, check in checks.catalogue().items()
    for example in check.examples
]
every_example = pytest.mark.parametrize(("check", "example"), EXAMPLES)

LAST_DIGIT = 5e-8
"""Examples are written with seven digits behind the point."""

PAST = {Worse.BELOW: (1.5,), Worse.ABOVE: (0.6,), Worse.BOTH: (1.5, 0.6)}
"""Limits that every reading is past, over the largest reading."""


def _measured(example: Example) -> Measurements:
    text = f"%FSLAX46Y46*%\n%MOMM*%\n{example.gerber}\nM02*\n"
    openings = cut_from(gerber.read(text.encode(), "example.gbr"))
    foil = Foil("film", "polyester", example.thickness_mm)
    known = board(openings, example.land, example.mask, example.outline)
    return Measurements(openings, foil, sheet=example.sheet, board=known)


def _readings(check: Check, example: Example) -> Readings:
    return check.measure(_measured(example), Scope(check.params(), example.reach))


@every_example
def test_an_example_reads_what_was_worked_out_by_hand(check: Check, example: Example) -> None:
    readings = _readings(check, example)
    assert len(readings.values) == len(example.expect)
    assert np.isnan(readings.values).tolist() == np.isnan(example.expect).tolist()
    off = np.abs(readings.values - np.array(example.expect))
    assert (np.isnan(off) | (off <= readings.error + LAST_DIGIT)).all()


@every_example
def test_every_reading_says_how_far_off_it_can_be(check: Check, example: Example) -> None:
    readings = _readings(check, example)
    assert readings.error.shape == readings.values.shape
    assert all(
        0 < error < max(1e-3, 1e-2 * value) or math.isnan(value)
        for error, value in zip(readings.error.tolist(), readings.values.tolist(), strict=True)
    )


@every_example
def test_rows_of_readings_are_rows_of_the_table(check: Check, example: Example) -> None:
    readings = _readings(check, example)
    assert readings.opening.shape == readings.values.shape
    if readings.other is not None:
        assert (readings.opening < readings.other).all()


def _wish(check: Check, example: Example, past: float) -> Wish:
    """What a check wishes for when every reading is past a limit, by a factor."""
    readings = _readings(check, example)
    failed = readings.rows(np.flatnonzero(~np.isnan(readings.values)))
    limit = float(past * failed.values.max(initial=0.0)) or 0.1
    return check.wish(_measured(example), failed, limit)


@every_example
def test_what_is_wished_for_is_a_length_or_words(check: Check, example: Example) -> None:
    for past in PAST[check.worse]:
        _hold(_wish(check, example, past))


def _hold(wish: Wish) -> None:
    figures = [getattr(wish, field.name) for field in fields(Wish) if field.name != "advice"]
    columns = [figure for figure in figures if figure is not None]
    assert columns or wish.advice is not None
    assert all(((column > 0) & np.isfinite(column) | np.isnan(column)).all() for column in columns)
    words = [] if wish.advice is None else wish.advice.tolist()
    assert all(isinstance(text, str) and text == text.strip() for text in words)
