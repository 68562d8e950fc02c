"""Text with a unit to our own units, and back."""

import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.units import (
    MM_PER_INCH,
    NM_PER_MM,
    how_to_write,
    length_mm,
    pattern,
    quantity,
    quoted,
    shown,
    shown_apart,
    shown_um,
)

UNITS = ("1", "mm", "mm2", "mm3")
numbers = st.floats(min_value=0, max_value=1e6)


def _plain(number: float) -> str:
    """Every digit of a float, without an exponent."""
    return format(Decimal(number), "f")


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("100 um", 0.1),
        ("100 \u00b5m", 0.1),  # micro sign
        ("100 \u03bcm", 0.1),  # Greek mu
        ("8 mil", 0.2032),  # 8 x 0.0254
        ("0.2 mm", 0.2),
        ("0.004 in", 0.1016),  # 0.004 x 25.4
        ("0.2mm", 0.2),
        ("  .2   mm ", 0.2),
        ("2. mil", 0.0508),
        ("0 mm", 0.0),
        ("1 in", MM_PER_INCH),
        ("0.3 um", 0.0003),
    ],
)
def test_a_length_is_the_nearest_float_to_what_the_text_says(text: str, mm: float) -> None:
    assert length_mm(text) == mm


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("0.66", "1", 0.66),
        ("0.05 mm2", "mm2", 0.05),
        ("0.05 mm\u00b2", "mm2", 0.05),
        ("1 in2", "mm2", 645.16),  # 25.4 squared
        ("100 mil2", "mm2", 0.064516),  # 100 x 0.0254 squared
        ("0.03 mm3", "mm3", 0.03),
        ("770 mil3", "mm3", 0.01261803928),  # 770 x 0.0254 cubed
    ],
)
def test_ratios_areas_and_volumes_are_read(text: str, unit: str, value: float) -> None:
    assert quantity(text, unit) == value


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "0.2",
        "100",
        "mm",
        "0,2 mm",
        "-0.2 mm",
        "+0.2 mm",
        "2e-1 mm",
        "0.2 MM",
        "0.2 mm2",
        "0.2 m",
        "0.2 mm mm",
        "0.2 0.3 mm",
        "0.2.3 mm",
        "1_0 mm",
        "nan mm",
        "inf mm",
        "0x1 mm",
        "\u0662 mm",  # a digit, but not one of ours
        "1/8 in",
        '0.2"',
    ],
)
def test_what_is_no_length_is_refused(text: str) -> None:
    said = "nothing" if not text else repr(text)
    with pytest.raises(ValueError, match="expected a length") as caught:
        length_mm(text)
    assert str(caught.value) == f"expected a length with its unit, such as '0.2 mm', got {said}"


def test_a_ratio_takes_no_unit() -> None:
    with pytest.raises(ValueError, match=r"expected a number without a unit, such as '0\.66', got '66 %'"):
        quantity("66 %", "1")


def test_a_number_too_large_to_hold_is_refused() -> None:
    with pytest.raises(ValueError, match="which is too large"):
        length_mm(f"{'9' * 400} mm")


def test_the_hint_names_the_units_that_a_keyboard_has() -> None:
    wanted = "write a number, 0 or more, with a point for the decimals, and one of mm, um, mil, in"
    assert how_to_write("mm") == wanted
    assert how_to_write("1") == "write a plain number, 0 or more, with a point for the decimals"


@given(numbers, st.sampled_from(UNITS))
def test_a_number_survives_being_written_in_its_own_unit(number: float, unit: str) -> None:
    suffix = "" if unit == "1" else f" {unit}"
    assert quantity(_plain(number) + suffix, unit) == number


@given(st.integers(0, 10**9))
def test_whole_nanometres_survive_as_micrometres_and_millimetres(nm: int) -> None:
    um, mm = Decimal(nm) / 1000, Decimal(nm) / 10**6
    assert length_mm(f"{um:f} um") == length_mm(f"{mm:f} mm") == nm / NM_PER_MM


@given(st.integers(0, 10**6))
def test_mils_are_thousandths_of_an_inch(mil: int) -> None:
    assert length_mm(f"{mil} mil") == length_mm(f"{Decimal(mil) / 1000:f} in")


@given(numbers, st.sampled_from(UNITS))
def test_what_is_shown_can_be_read_again(number: float, unit: str) -> None:
    half_of_last_digit = {"1": 0.005, "mm": 0.0005, "mm2": 0.00005, "mm3": 0.000005}[unit]
    assert abs(quantity(shown(number, unit), unit) - number) <= half_of_last_digit * (1 + 1e-9)


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.14, "mm", "0.140 mm"),
        (0.2286, "mm", "0.229 mm"),
        (12.3456, "mm", "12.346 mm"),
        (0.6249, "1", "0.62"),
        (1.4286, "1", "1.43"),
        (0.04, "mm2", "0.0400 mm2"),
        (0.0281, "mm3", "0.02810 mm3"),
        (-0.00001, "mm", "0.000 mm"),
    ],
)
def test_numbers_are_shown_with_the_digits_that_matter(value: float, unit: str, text: str) -> None:
    assert shown(value, unit) == text


@pytest.mark.parametrize(
    ("value", "limit", "texts"),
    [
        (0.14, 0.17, ("0.140 mm", "0.170 mm")),
        (0.1699, 0.17, ("0.1699 mm", "0.1700 mm")),
        (0.2146, 0.215, ("0.2146 mm", "0.2150 mm")),
        (0.17, 0.17, ("0.170 mm", "0.170 mm")),
    ],
)
def test_a_value_beside_its_limit_gets_the_digits_that_part_them(
    value: float, limit: float, texts: tuple[str, str]
) -> None:
    assert shown_apart(value, limit, "mm") == texts


@given(numbers, numbers, st.sampled_from(UNITS))
def test_numbers_that_differ_never_look_equal(one: float, other: float, unit: str) -> None:
    texts = shown_apart(one, other, unit)
    assert (texts[0] == texts[1]) == (one == other)


@given(numbers, st.integers(1, 20), st.sampled_from(UNITS))
def test_near_neighbours_never_look_equal_and_keep_their_order(number: float, steps: int, unit: str) -> None:
    below = number * (1 - steps * 2.0**-53)
    texts = shown_apart(below, number, unit)
    assert (texts[0] == texts[1]) == (below == number)
    if "e" not in "".join(texts):
        assert quantity(texts[0], unit) <= quantity(texts[1], unit)


def test_numbers_too_small_for_decimals_are_still_told_apart() -> None:
    assert shown_apart(1e-30, 2e-30, "mm") == ("1e-30 mm", "2e-30 mm")


def test_a_thickness_is_shown_as_on_the_packet() -> None:
    assert shown_um(0.075) == "75 um"
    assert shown_um(0.0762) == "76.2 um"
    assert shown_um(0.1) == "100 um"


def test_quoted_text_is_short_and_harmless() -> None:
    assert quoted("") == "nothing"
    assert quoted("\x1b]0;title\x07") == r"'\x1b]0;title\x07'"
    assert quoted("abc\u202edef") == r"'abc\u202edef'"  # turns the writing direction round
    assert quoted("y" * 61) == f"'{'y' * 57}...'"
    assert quoted("100 \u00b5m") == "'100 \u00b5m'"


@given(
    st.sampled_from(["1", "mm", "mm2", "mm3", "mm/s", "s", "N", "%"]),
    st.from_regex(r"\A *[0-9.+-]{0,4} *(mm2?|um|mil|in|\u00b5m|mm/s|s|gf|N|%|e3)? *\Z"),
)
def test_the_pattern_of_a_unit_takes_what_is_read_and_nothing_else(unit: str, text: str) -> None:
    try:
        quantity(text, unit)
        is_read = True
    except ValueError:
        is_read = False
    assert bool(re.search(pattern(unit), text)) == is_read
