"""Which distinct shapes are apertures: circles, rectangles, obrounds, and macros for what is turned."""

from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

import numpy as np
import shapely

from pastecheck.drawing import AttributeSet, BoolArray, FloatArray, IntArray
from pastecheck.geometry.rectangles import Rectangles
from pastecheck.geometry.width import turned_rectangles
from pastecheck.openings import Openings, Shapes
from pastecheck.trim.writing.attributes import with_changes
from pastecheck.trim.writing.grid import Grid, plain

NO_TOOL: Final = 0
_FIRST: Final = 10
"""The lowest number that an aperture may have."""
_SAME_MM: Final = 2e-6
"""Corners are whole nanometres, so those of a turned rectangle lie off by so much at most."""
_LEVEL_MM: Final = 5e-7
"""What is turned by less moves no corner to another nanometre."""
_ANGLE_DECIMALS: Final = 9

_MACROS: Final = {
    "TURNED": (
        "0 A rectangle with sides of $1 and $2, turned by $3",
        "21,1,$1,$2,0,0,$3",
    ),
    "SLOT": (
        "0 A slot with straight sides of $1, $2 wide, turned by $3",
        "21,1,$1,$2,0,0,$3",
        "1,1,$2,$1/2,0,$3",
        "1,1,$2,0-$1/2,0,$3",
    ),
    "ROUNDED": (
        "0 A rectangle with straight sides of $1 and $2, corners of diameter $3, turned by $4",
        "21,1,$1+$3,$2,0,0,$4",
        "21,1,$1,$2+$3,0,0,$4",
        "1,1,$3,$1/2,$2/2,$4",
        "1,1,$3,0-$1/2,$2/2,$4",
        "1,1,$3,0-$1/2,0-$2/2,$4",
        "1,1,$3,$1/2,0-$2/2,$4",
    ),
}


class Tools(NamedTuple):
    """The apertures of n openings, of s distinct shapes."""

    tool: IntArray
    """Its number; `NO_TOOL` where there is none. Shape (n,)."""
    centre_mm: FloatArray
    """Where it is flashed, about the origin of the shape. Shape (s, 2)."""
    definitions: list[str]
    """The macros that are used, then each aperture once, with its attributes before it."""


def tools_of(openings: Openings, grid: Grid) -> Tools:
    """
    Apertures for openings, numbered in the order of their attributes and then of the shapes.

    Those that are alike but for their attributes are apertures of their own.
    """
    shapes = openings.shapes
    sides = turned_rectangles(shapes.core, shapes.radius_mm, shapes.tolerance_mm)
    centre_mm = shapely.get_coordinates(shapely.centroid(shapes.core))
    size_mm = np.column_stack([sides.length_mm, sides.width_mm])
    straight_mm = np.maximum(size_mm - 2 * shapes.radius_mm[:, None], 0.0)
    turn_rad = np.nan_to_num(sides.direction_rad)
    known = _are_rectangles(shapes, Rectangles(centre_mm, straight_mm / 2, turn_rad))
    texts = {
        row: _aperture(straight_mm[row], float(shapes.radius_mm[row]), float(turn_rad[row]), grid)
        for row in np.flatnonzero(known).tolist()
    }
    tool = np.full(len(openings), NO_TOOL, np.int64)
    flashed = np.flatnonzero(known[openings.shape])
    pairs = np.column_stack([openings.of_aperture[flashed], openings.shape[flashed]])
    kinds, of_kind = np.unique(pairs, axis=0, return_inverse=True)
    numbers: dict[tuple[int, str], int] = {}
    number = [numbers.setdefault((its, texts[row]), _FIRST + len(numbers)) for its, row in kinds.tolist()]
    tool[flashed] = np.array(number, np.int64)[of_kind.reshape(-1)]
    return Tools(tool, centre_mm, _definitions(numbers, openings.aperture_sets))


def _definitions(numbers: Mapping[tuple[int, str], int], sets: Sequence[AttributeSet]) -> list[str]:
    used = [name for name in _MACROS if any(text.startswith(f"{name},") for _, text in numbers)]
    macros = [line for name in used for line in (f"%AM{name}*", *(f"{one}*" for one in _MACROS[name]), "%")]
    lines = [f"%ADD{number}{text}*%" for (_, text), number in numbers.items()]
    return [*macros, *with_changes(lines, np.array([its for its, _ in numbers], np.int64), sets)]


def _are_rectangles(shapes: Shapes, cores: Rectangles) -> BoolArray:
    """Whether cores are points, lines or rectangles, to the rounding of their corners. Shape (s,)."""
    dimension = shapely.get_dimensions(shapes.core)
    known = (dimension < 2) & (shapes.radius_mm > 0)
    four = (dimension == 2) & (shapely.get_num_coordinates(shapes.core) == 5)
    rows = np.flatnonzero(four)
    corner_mm = shapely.get_coordinates(shapes.core[rows]).reshape(-1, 5, 2)[:, :4]
    wanted_mm = cores.rows(rows).corners_mm()
    way_mm = corner_mm[:, :, None] - wanted_mm[:, None]
    known[rows] = np.hypot(way_mm[..., 0], way_mm[..., 1]).min(axis=2).max(axis=1, initial=0.0) <= _SAME_MM
    return known


def _aperture(straight_mm: FloatArray, radius_mm: float, turn_rad: float, grid: Grid) -> str:
    """The definition behind the number."""
    along_mm, across_mm = straight_mm.tolist()
    reach_mm = (along_mm + across_mm) / 2
    along_is_level, along_is_steep = (abs(way) * reach_mm < _LEVEL_MM for way in _sine_cosine(turn_rad))
    if along_is_steep:
        along_mm, across_mm = across_mm, along_mm
    is_square = along_is_level or along_is_steep
    thick_mm = 2 * radius_mm
    is_slot = radius_mm > 0 and min(along_mm, across_mm) < _LEVEL_MM
    sizes = [grid.size(one + thick_mm) for one in (along_mm, across_mm)]
    straight = [grid.size(one) for one in (along_mm, across_mm)]
    turn = plain(0.0 if is_square else float(np.degrees(turn_rad)), _ANGLE_DECIMALS)
    if is_slot and max(along_mm, across_mm) < _LEVEL_MM:
        return f"C,{grid.size(thick_mm)}"
    if is_square and (is_slot or not radius_mm):
        return f"{'O' if is_slot else 'R'},{'X'.join(sizes)}"
    if is_slot:
        return f"SLOT,{straight[0]}X{grid.size(thick_mm)}X{turn}"
    if not radius_mm:
        return f"TURNED,{sizes[0]}X{sizes[1]}X{turn}"
    return f"ROUNDED,{straight[0]}X{straight[1]}X{grid.size(thick_mm)}X{turn}"


def _sine_cosine(angle_rad: float) -> tuple[float, float]:
    return float(np.sin(angle_rad)), float(np.cos(angle_rad))
