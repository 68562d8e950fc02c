"""How far off a layer's corners are cut if the scale is off, and when that matters."""

import math

import numpy as np
import pytest

from pastecheck.check import NO_OPENING
from pastecheck.checks.scale_reach import CHECK, Params
from pastecheck.measurements import Measurements
from tests.checks.among import FOIL, flashes, line, measured, readings, values
from tests.drawn import cut_text


def layer(width: float, height: float, pitch: float = 0.5) -> Measurements:
    """Openings of 1 x 1 mm whose outer corners are those of a rectangle, and a row."""
    x, y = (width - 1) / 2, (height - 1) / 2
    corners = [(sx * x, sy * y) for sx in (-1, 1) for sy in (-1, 1)]
    return measured(*flashes("R,1X1", corners), *flashes("R,0.25X1", line(pitch, 0, 1, 2), code=11))


def test_a_laser_reaches_farther() -> None:
    # 300 x 200: half the diagonal is 180.28; 0.05 % of it
    found = values(CHECK, layer(300, 200), Params(scale_error=0.0005))
    assert found == [pytest.approx(0.0005 * math.hypot(150, 100), abs=1e-6)]


@pytest.mark.parametrize(
    ("pitch", "matters"), [(0.4, True), (0.65, True), (0.66, True), (0.666, False), (0.8, False)]
)
def test_only_fine_rows_mind(pitch: float, *, matters: bool) -> None:
    assert np.isfinite(values(CHECK, layer(100, 80, pitch))).all() == matters


def test_a_row_of_26_mil_in_a_file_in_inches_minds() -> None:
    # 0.65 mm is 25.59 mil, rounded to a mil 0.6604 mm
    drawn = [f"X{mil * 1000}Y0D03*" for mil in (0, 26, 52)]
    text = "\n".join(["%FSLAX26Y26*%", "%MOIN*%", "%ADD10R,0.01X0.06*%", "D10*", *drawn, "M02*", ""])
    assert np.isfinite(values(CHECK, Measurements(cut_text(text), FOIL))).all()


def test_there_is_one_reading_in_the_middle_of_the_layer() -> None:
    found = readings(CHECK, layer(100, 80))
    assert found.opening.tolist() == [NO_OPENING]
    assert found.place_mm is not None
    assert found.place_mm.tolist() == [[0.0, 0.0]]


def test_a_layer_without_rows_has_no_reading_that_applies() -> None:
    assert np.isnan(values(CHECK, measured(*flashes("R,1X1", [(0, 0)])))).all()


def test_how_well_the_scale_has_to_be_set_is_said() -> None:
    # 200 x 150 reads 0.125; for 0.105 the scale may be off by 0.084 %: 0.084 mm in 100
    m = layer(200, 150)
    wish = CHECK.wish(m, readings(CHECK, m), 0.105)
    assert wish.advice is not None
    (text,) = wish.advice.tolist()
    assert text.endswith("until it is right to 0.084 mm")


@pytest.mark.parametrize("wrong", [0.0, -0.001, 0.2])
def test_a_part_that_is_none_is_refused(wrong: float) -> None:
    with pytest.raises(ValueError, match="scale-error"):
        Params(scale_error=wrong)
