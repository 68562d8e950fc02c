"""Film that falls out of an opening; and what to do about it."""

import math

import pytest

from tests.checks.readings import C_RING, RING, flash, read

DOT = "%ADD20C,0.4*%\nD20*\nX0Y0D03*"
HOLED = "%ADD10R,{0}X{0}*%\n%ADD11R,{1}X{1}*%\nD10*\nX0Y0D03*\n%LPC*%\nD11*\nX0Y0D03*\n%LPD*%"
"""A square with a square hole."""


@pytest.mark.parametrize(
    ("drawn", "expected_mm2"),
    [
        pytest.param(RING, [0.7853982], id="ring"),
        pytest.param(HOLED.format(1, 0.2), [0.04], id="square"),
        pytest.param(f"{RING}\n{DOT}", [math.nan, 0.6597345], id="ring with a dot"),
        pytest.param(C_RING, [math.nan], id="C ring"),
        pytest.param(flash("R,1X2"), [math.nan], id="no hole"),
        # a ring of 0.6 and 0.4 in the ring: what falls out of the outer one is all between 1.0 and 0.6
        pytest.param(
            RING + "\n%ADD12C,0.6*%\n%ADD13C,0.4*%\nD12*\nX0Y0D03*\n%LPC*%\nD13*\nX0Y0D03*\n%LPD*%",
            [math.pi * 0.04, math.pi * (0.25 - 0.09)],
            id="ring in a ring",
        ),
    ],
)
def test_an_island_is_as_worked_out_by_hand(drawn: str, expected_mm2: list[float]) -> None:
    found = read("film-island", drawn).readings
    for value, error, expected in zip(found.values, found.error, expected_mm2, strict=True):
        assert math.isnan(value) == math.isnan(expected)
        assert math.isnan(value) or abs(value - expected) <= error + 5e-8


def test_of_many_equal_rings_each_reads_what_lies_in_it() -> None:
    # nine rings, a dot in the middle one
    rings = RING.replace("X0Y0D03*", "%SRX3Y3I2J2*%\nX0Y0D03*\n%SR*%").replace("%LPC*%", "%SR*%\n%LPC*%")
    values = read("film-island", rings, DOT.replace("X0Y0", "X2000000Y2000000")).readings.values
    # openings by place: the dot comes before the ring about it
    assert [f"{value:.4f}" for value in sorted(values.tolist(), key=lambda v: (math.isnan(v), v))] == [
        "0.6597",
        *["0.7854"] * 8,
        "nan",
    ]


def test_an_island_is_told_where_it_is() -> None:
    # a hole of 0.3 near the right end of a bar, one of 0.2 near the left
    bar = (
        "%ADD10R,4X1*%\n%ADD11R,0.3X0.3*%\n%ADD12R,0.2X0.2*%\nD10*\nX0Y0D03*\n%LPC*%\nD11*\n"
        "X1500000Y0D03*\nD12*\nX-1500000Y0D03*\n%LPD*%"
    )
    found = read("film-island", bar)
    assert found.value == pytest.approx(0.09)
    assert found.place_mm[0] == pytest.approx([1.5, 0.0], abs=0.1)


def test_a_frame_reads_what_is_left_between_many_openings() -> None:
    # a frame of 12 mm with a hole of 10 mm, in which 25 squares of 1 mm lie
    squares = "%ADD20R,1X1*%\nD20*\n%SRX5Y5I1.8J1.8*%\nX-3600000Y-3600000D03*\n%SR*%"
    values = read("film-island", HOLED.format(12, 10), squares).readings.values
    assert [value for value in values.tolist() if not math.isnan(value)] == pytest.approx([100 - 25])


# ------------------------------------------------------------------------------------------------- wishes


def test_a_ring_is_to_be_drawn_as_parts_with_webs() -> None:
    # 1 mm across: three parts of pi (1 + 0.3) / 3 - 0.3 = 1.06 mm, longer than their 0.3
    assert read("film-island", RING).advice(0.05) == (
        "draw it as 3 parts with webs of 0.300 mm between, or fill the hole: the opening grows by 0.7854 mm2"
    )


def test_a_large_ring_is_held_by_four_webs() -> None:
    large = RING.replace("C,1.6", "C,4").replace("C,1*", "C,3*")
    assert read("film-island", large).advice(0.05).startswith("draw it as 4 parts with webs")


def test_a_speck_in_an_opening_is_to_be_filled() -> None:
    # a hole of 0.1 mm in a square of 1 mm: parts about it would be shorter than wide
    assert read("film-island", HOLED.format(1, 0.1)).advice(0.002) == (
        "fill the hole: the opening grows by 0.0100 mm2"
    )
