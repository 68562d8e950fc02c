"""What is drawn as lines and lettering is no opening; what could be a land stays one. Lengths by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck import gerber
from pastecheck.errors import NoOpeningsError
from pastecheck.openings import Openings, cut_from
from pastecheck.source import DiagnosticLevel
from tests.drawn import areas_mm2, cut, mm_layer

Point = tuple[float, float]
Path = list[Point]

LAND = ("%ADD10R,1X1*%", "D10*", "X-50000000Y0D03*")
"""So that something is always left to cut; on lines 3 to 5."""


def at(x_mm: float, y_mm: float) -> str:
    return f"X{round(x_mm * 1e6)}Y{round(y_mm * 1e6)}"


def pen(diameter_mm: float, *paths: Path, code: int = 20) -> tuple[str, ...]:
    """Paths drawn with a round pen."""
    drawn = [f"%ADD{code}C,{diameter_mm}*%", f"D{code}*", "G01*"]
    for path in paths:
        drawn += [f"{at(*path[0])}D02*", *(f"{at(*point)}D01*" for point in path[1:])]
    return tuple(drawn)


def ring(diameter_mm: float, radius_mm: float) -> tuple[str, ...]:
    """A full circle drawn with a round pen."""
    start = at(radius_mm, 0)
    return (
        *(f"%ADD20C,{diameter_mm}*%", "D20*", "G75*", f"{start}D02*", "G03*"),
        f"{start}I{round(-radius_mm * 1e6)}J0D01*",
    )


def rectangle(width: float, height: float, x: float = 0.0, y: float = 0.0) -> Path:
    return [(x, y), (x + width, y), (x + width, y + height), (x, y + height), (x, y)]


def moved(paths: list[Path], x: float, y: float = 0.0) -> list[Path]:
    return [[(x + px, y + py) for px, py in path] for path in paths]


def left_out(*drawn: str) -> dict[str, int]:
    """What is left out beside a land, by code."""
    return {one.code: one.count for one in cut(*LAND, *drawn).left_out}


# ------------------------------------------------------------------------------------------- outlines, rings


SHEET = [
    rectangle(277, 190),
    rectangle(273, 186, 2, 2),
    *([(50.0 * k, 0.0), (50.0 * k, 2.0)] for k in (1, 2, 3)),
]
"""The inner frame of an A4 sheet with the marks of its fields."""

OUTLINES = [
    (pen(0.1, rectangle(2, 2)), "a frame of 8 mm is 80 pens long"),
    (pen(0.0254, rectangle(60, 40)), "a board outline"),
    (ring(0.2, 1.0), "a ring of 2 pi mm is 31 pens long"),
    (pen(0.15, *SHEET), "the frame of a drawing sheet"),
    (pen(0.2, [(0, 0), (30, 0)]), "a straight line is 150 pens long"),
    (pen(0.2, [(0, 20), (0, 0), (20, 0)]), "a corner of 40 mm is 200 pens long"),
    (pen(0.5, rectangle(60, 40)), "a board outline of 200 mm is 400 pens long, though the pen is not thin"),
    (("G54*", *pen(0.1, rectangle(5, 5), rectangle(5, 5))), "a frame that is drawn twice"),
]


@pytest.mark.parametrize(("drawn", "why"), OUTLINES)
def test_a_long_thin_line_is_no_opening(drawn: tuple[str, ...], why: str) -> None:
    assert left_out(*drawn) == {"thin-outline": 1}, why


def swapped(path: Path) -> Path:
    """The other way round the diagonal."""
    return [(y, x) for x, y in path]


def rows(width: float, height: float, pitch: float) -> list[Path]:
    """Strokes side by side."""
    return [[(0, pitch * k), (width, pitch * k)] for k in range(round(height / pitch) + 1)]


LANDS = [
    (pen(0.25, [(0, 0), (2, 0)]), "a slot of one stroke"),
    (pen(0.34, [(0, 0), (33, 0)]), "a slot of 97 pens"),
    (ring(0.3, 0.65), "a ring about the port of a microphone: 1.3 pi mm are 14 pens"),
    (pen(0.2, [(0, 2), (0, 0), (2, 0)]), "a bent land"),
    (pen(0.7, rectangle(30, 40)), "the frame of a shielding can: 140 mm are 200 pens"),
    (pen(0.2, *rows(1, 1, 0.15)), "a land painted row by row"),
    (pen(0.05, [(0, 3), (0, 0), (3, 0)], [(0.025, 3), (0.025, 0.025), (3, 0.025)]), "one painted wider"),
    (pen(0.1, *rows(2, 2, 0.2), *(swapped(row) for row in rows(2, 2, 0.2))), "hatched with gaps of a pen"),
    (("G36*", "X0Y0D02*", "G01*", "X9000000D01*", "Y100000D01*", "X100000D01*", "Y9000000D01*", "X0D01*",
      "Y0D01*", "G37*"), "a region is no line"),
    (("%AMRing*", "1,1,4,0,0*", "1,0,3.8,0,0*%", "%ADD11Ring*%", "D11*", "X0Y0D03*"), "nor is a flash"),
    ((*pen(0.1, rectangle(5, 5)), "D10*", "X0Y0D03*"), "nor what a flash lies on: it would be lost with it"),
]  # fmt: skip


@pytest.mark.parametrize(("drawn", "why"), LANDS)
def test_what_could_be_a_land_stays_an_opening(drawn: tuple[str, ...], why: str) -> None:
    assert left_out(*drawn) == {}, why


def test_a_board_outline_is_told_with_its_area_place_and_line_and_how_to_have_it_judged() -> None:
    openings = cut(*LAND, *pen(0.1, rectangle(20, 10)))
    (said,) = openings.diagnostics
    # 60 mm of 0.1 mm, less a quarter of the square at each corner that the round pen does not reach:
    # (20.1 x 10.1 - (1 - pi / 4) 0.1^2) - 19.9 x 9.9
    assert said.text == (
        "1 thin outline left out as no opening, 5.9979 mm2 within (-0.05, -0.05) to (20.05, 10.05) mm; "
        "drawn at line 10; --everything judges all that is drawn"
    )
    assert (said.code, said.level, said.span.line) == ("thin-outline", DiagnosticLevel.WARNING, 10)
    assert openings.left_out[0].area_mm2 == pytest.approx(
        203.01 - (1 - math.pi / 4) * 0.01 - 197.01, abs=1e-5
    )


def test_a_layer_of_nothing_but_lines_is_refused_with_what_was_found_and_the_way_out() -> None:
    with pytest.raises(NoOpeningsError) as caught:
        cut(*pen(0.1, rectangle(20, 10)))
    assert caught.value.hint.startswith("1 thin outline left out as no opening")
    assert "--everything" in caught.value.hint


# ------------------------------------------------------------------------------------------------ lettering


L: list[Path] = [[(0, 1), (0, 0), (0.6, 0)]]
T: list[Path] = [[(0, 1), (0.8, 1)], [(0.4, 1), (0.4, 0)]]
V: list[Path] = [[(0, 1), (0.4, 0), (0.8, 1)]]
X: list[Path] = [[(0, 0), (0.8, 1)], [(0, 1), (0.8, 0)]]
BAR: list[Path] = [[(0, 0), (0, 1)]]
DOT: list[Path] = [[(0, 0), (0, 0)]]


def word(*letters: list[Path], x: float = 0.0, y: float = 0.0) -> list[Path]:
    """Letters 1 mm high, 1.2 mm from one to the next."""
    return [path for k, letter in enumerate(letters) for path in moved(letter, x + 1.2 * k, y)]


def turned(paths: list[Path], quarters: int) -> list[Path]:
    return paths if not quarters else turned([[(-y, x) for x, y in path] for path in paths], quarters - 1)


@pytest.mark.parametrize("quarters", range(4))
def test_a_run_of_letters_is_no_opening_whichever_way_it_runs(quarters: int) -> None:
    assert left_out(*pen(0.1, *turned(word(L, T, V, X), quarters))) == {"lettering": 4}


def test_straight_strokes_and_dots_among_letters_are_letters_too() -> None:
    assert left_out(*pen(0.1, *word(L, T, BAR, V, DOT, X, BAR))) == {"lettering": 7}


def test_a_short_word_is_lettering_where_its_pen_writes_elsewhere() -> None:
    far = word(V, T, x=20)
    assert left_out(*pen(0.1, *word(L, T, V, X), *far)) == {"lettering": 6}
    assert left_out(*pen(0.1, *far)) == {}
    assert left_out(*pen(0.1, *word(L, T, V, X)), *pen(0.12, *far, code=21)) == {"lettering": 4}


NO_LETTERS = [
    (pen(0.35, *word(L, T, V, X)), "the pen is not thin"),
    (pen(0.1, *word(L, T, V)), "three are too few"),
    (pen(0.1, *word(L, T, L, T, L, T)), "lands of two forms, one like the other"),
    (pen(0.1, *word(*(turned(L, k) for k in range(4)))), "four bent lands about the corners of one part"),
    (pen(0.1, *word(L, T, V, X, *[BAR] * 4)), "as many slots as letters"),
    (pen(0.1, *word(*[BAR] * 12)), "a row of slots"),
    (pen(0.1, *(p for k, one in enumerate((L, T, V, X)) for p in moved(one, 5.0 * k))), "they stand apart"),
    (pen(0.1, *(p for k in range(4) for p in moved(rows(0.4 + k / 10, 0.6, 0.05), 1.5 * k))), "painted"),
]  # fmt: skip


@pytest.mark.parametrize(("drawn", "why"), NO_LETTERS)
def test_what_is_not_plainly_lettering_stays_an_opening(drawn: tuple[str, ...], why: str) -> None:
    assert "lettering" not in left_out(*drawn), why


def test_slots_of_another_pen_beside_lettering_stay_openings() -> None:
    openings = cut(*LAND, *pen(0.1, *word(L, T, V, X)), *pen(0.25, *word(*[BAR] * 6, y=-2.0), code=21))
    assert len(openings) == 7
    assert [one.count for one in openings.left_out] == [4]


# ------------------------------------------------------------------------------------ nothing is lost unsaid


def all_of(text: str) -> tuple[Openings, Openings]:
    drawing = gerber.read(text.encode(), "layer.gbr")
    return cut_from(drawing), cut_from(drawing, everything=True)


def test_everything_is_an_opening_on_request() -> None:
    drawn = (*pen(0.1, rectangle(20, 10)), *pen(0.1, *word(L, T, V, X, x=2.0, y=3.0), code=21))
    some, every = all_of(mm_layer(*LAND, *drawn))
    assert (len(some), len(every)) == (1, 6)
    assert every.left_out == ()
    assert {said.code for said in every.diagnostics} == {"drawn-in-pieces"}


COORDINATE = st.integers(0, 40).map(lambda k: k / 4)
PATHS = st.lists(st.lists(st.tuples(COORDINATE, COORDINATE), min_size=2, max_size=5), min_size=1, max_size=4)


@given(PATHS, st.sampled_from([0.03, 0.1, 0.3, 0.5]), st.integers(-50, 50), st.integers(-50, 50))
def test_what_is_left_out_and_the_openings_are_all_that_is_drawn_wherever_it_lies(
    paths: list[Path], diameter_mm: float, x: float, y: float
) -> None:
    some, every = all_of(mm_layer(*LAND, *pen(diameter_mm, *paths)))
    assert len(some) + sum(one.count for one in some.left_out) == len(every)
    area_mm2 = areas_mm2(some).sum() + sum(one.area_mm2 for one in some.left_out)
    assert area_mm2 == pytest.approx(areas_mm2(every).sum(), rel=1e-12)
    # far from the land, so that nothing of it is touched
    there = cut(*LAND, *pen(diameter_mm, *moved(paths, 100 + x, y)))
    here = cut(*LAND, *pen(diameter_mm, *moved(paths, 100, 0)))
    assert [(one.code, one.count) for one in there.left_out] == [(o.code, o.count) for o in here.left_out]


def test_bent_lands_of_a_part_are_no_letters_for_they_are_too_low() -> None:
    # five of different forms, two millimetres apart: none is 5 pens of 0.3 mm high, the highest 1.1 + 0.3 mm
    lands = [
        [(0.0, 0.0), (0.0, 1.1), (0.8, 1.1)],
        [(2.0, 0.0), (2.0, 1.0), (3.0, 1.0), (3.0, 0.0)],
        [(4.0, 0.0), (5.1, 0.0), (5.1, 0.7)],
        [(6.0, 0.0), (6.5, 0.6), (7.1, 0.0)],
        [(8.0, 0.0), (8.9, 0.0), (8.9, 1.1), (8.0, 1.1)],
    ]
    assert left_out(*pen(0.3, *lands)) == {}
