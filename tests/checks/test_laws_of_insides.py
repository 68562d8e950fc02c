"""What is read inside and along openings stays when a layer is moved, turned, mirrored or told in inches."""

from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given

from pastecheck.check import Scope
from pastecheck.checks import catalogue
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Foil, Measurements
from tests.drawn import cut_text
from tests.strategies import INCH, MM, Style, Thing, layer, layers

pytestmark = pytest.mark.slow

OF_INSIDES = (
    "neck-width",
    "film-tongue",
    "tongue-slenderness",
    "film-island",
    "corner-radius",
    "side-length",
    "opening-span",
    "powder-fit",
    "deposit-volume",
)
MOVED = Style(dx_nm=123_456_789, dy_nm=-98_765_432)


class Read(NamedTuple):
    """Readings of a layer in order of their size, NaN last; and the bounds of their errors."""

    values: FloatArray
    error: FloatArray


def read(things: list[Thing], style: Style = MM) -> dict[str, Read]:
    """By check."""
    m = Measurements(cut_text(layer(things, style)), Foil("film", "polyester", 0.075))
    found = {}
    for check_id in OF_INSIDES:
        check = catalogue()[check_id]
        readings = check.measure(m, Scope(check.params(), 0.25))
        if check_id == "side-length":
            # where two arcs meet they may turn by just 60 degrees, as their facets lie: a corner, or none
            readings = readings.rows(np.flatnonzero(m.openings.shapes.tolerance_mm[m.openings.shape] == 0))
        order = np.argsort(readings.values)
        found[check_id] = Read(readings.values[order], np.nan_to_num(readings.error[order]))
    return found


def assert_same(some: dict[str, Read], others: dict[str, Read]) -> None:
    for check_id, one in some.items():
        other = others[check_id]
        assert np.isnan(one.values).tolist() == np.isnan(other.values).tolist(), check_id
        off = np.nan_to_num(np.abs(one.values - other.values))
        # outlines are on whole nanometres: each end of a length is off by one at most
        rounding = 1e-5 * np.maximum(1, np.nan_to_num(one.values))
        assert (off <= one.error + other.error + rounding).all(), check_id


@given(layers())
def test_moving_a_layer_changes_nothing(things: list[Thing]) -> None:
    assert_same(read(things), read(things, MOVED))


@given(layers())
def test_turning_a_layer_changes_nothing(things: list[Thing]) -> None:
    assert_same(read(things), read([thing.turned() for thing in things]))


@given(layers())
def test_inches_read_as_millimetres(things: list[Thing]) -> None:
    assert_same(read(things), read(things, INCH))


@given(layers())
def test_the_order_of_drawing_is_of_no_matter(things: list[Thing]) -> None:
    assert_same(read(things), read(things[::-1]))
