"""How much of the foil about an opening is open: by hand, by other means, and wherever a board lies."""

import numpy as np
import pytest
import shapely
import shapely.affinity

from pastecheck.checks.open_fraction import CHECK, Params
from tests.checks.among import flashes, measured, readings, values

SIX = [(x, y) for y in (0.0, 2.0) for x in (0.0, 2.0, 4.0)]


def test_an_opening_across_the_edge_counts_with_what_lies_inside() -> None:
    # Windows of 4 mm about squares of 1 mm at 2 mm: the edge halves those beside. In the middle of a row of
    # 3, two rows: (1 + 0.5 + 0.5) x (1 + 0.5) of 16; at its end 1.5 x 1.5.
    found = values(CHECK, measured(*flashes("R,1X1", SIX)), Params(window_mm=4.0, least=2))
    assert found == [0.140625, 0.1875, 0.140625] * 2


def test_one_opening_fewer_than_the_least_is_not_read() -> None:
    m = measured(*flashes("R,1X1", SIX))
    assert not np.isnan(values(CHECK, m, Params(least=6))).any()
    assert np.isnan(values(CHECK, m, Params(least=7))).all()


def test_an_opening_whose_middle_is_at_the_edge_is_counted_and_one_beyond_is_not() -> None:
    for step, counted in ((5.0, True), (5.002, False)):
        found = values(CHECK, measured(*flashes("R,1X1", [(0, 0), (step, 0)])), Params(least=2))
        assert np.isfinite(found).all() == counted


@pytest.mark.parametrize("moved", [(0.0, 0.0), (3.3333, -7.777), (1234.5, 0.000001)])
def test_readings_do_not_change_when_a_board_is_moved(moved: tuple[float, float]) -> None:
    random = np.random.default_rng(4)
    places = [(float(x), float(y)) for x, y in np.round(random.uniform(0, 12, (30, 2)), 3)]
    at = [(x + moved[0], y + moved[1]) for x, y in places]
    still = values(CHECK, measured(*flashes("R,0.2X0.3", places)))
    assert values(CHECK, measured(*flashes("R,0.2X0.3", at))) == pytest.approx(still, abs=1e-6)


@pytest.mark.parametrize("degrees", [0, 20, 45])
def test_readings_agree_with_polygons_cut_by_another_library(degrees: float) -> None:
    places = [(2.2 * k, 1.9 * m) for m in range(4) for k in range(4)]
    drawn = flashes("R,0.8X1.5", places)
    drawn.insert(1, f"%LR{degrees}*%")
    m = measured(*drawn)
    found = readings(CHECK, m)
    slot = shapely.affinity.rotate(shapely.box(-0.4, -0.75, 0.4, 0.75), degrees, origin=(0, 0))
    slots = shapely.union_all([shapely.affinity.translate(slot, *place) for place in places])
    for (x, y), value, error in zip(m.centroid_mm.tolist(), found.values, found.error, strict=True):
        window = shapely.box(x - 5, y - 5, x + 5, y + 5)
        assert abs(value - slots.intersection(window).area / 100) <= error


def test_what_can_be_done_is_said_in_words() -> None:
    m = measured(*flashes("R,1X1", SIX))
    wish = CHECK.wish(m, readings(CHECK, m), 0.01)
    assert wish.advice is not None
    assert set(wish.advice.tolist()) == {
        "keep the carrier on until the sheet is taped down, and lift it from all corners at once"
    }


@pytest.mark.parametrize("wrong", [{"window_mm": 0.5}, {"window_mm": 2000.0}, {"least": 0}])
def test_settings_that_are_no_window_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="expected"):
        Params(**wrong)  # type: ignore[arg-type]
