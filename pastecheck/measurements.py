"""Foil, and shared columns, each computed once on first asking."""

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.openings import Openings


@dataclass(frozen=True, slots=True)
class Foil:
    """The sheet the openings are cut in, of any material."""

    name: str
    material: str
    thickness_mm: float


class Webs(NamedTuple):
    """Pairs of openings with nothing but foil between them. Shape (k,), sorted by first, then second."""

    first: IntArray
    second: IntArray
    gap_mm: FloatArray
    error_mm: FloatArray


class Measurements:
    """
    What checks ask about a layer's openings; every column has shape (n,), in order of the openings table.

    Computed for each distinct shape or pair, then gathered. `*_error_*` columns bound the distance from the
    layer as drawn.
    """

    def __init__(self, openings: Openings, foil: Foil) -> None:
        self.openings = openings
        self.foil = foil

    @cached_property
    def area_mm2(self) -> FloatArray: ...
    @cached_property
    def perimeter_mm(self) -> FloatArray: ...
    @cached_property
    def width_mm(self) -> FloatArray: ...
    @cached_property
    def length_mm(self) -> FloatArray: ...
    @cached_property
    def width_error_mm(self) -> FloatArray: ...
    @cached_property
    def area_ratio(self) -> FloatArray: ...
    @cached_property
    def area_ratio_error(self) -> FloatArray: ...
    @cached_property
    def centroid_mm(self) -> FloatArray: ...  # (n, 2)
    def webs_within(self, reach_mm: float) -> Webs: ...
    def web_line_mm(self, first: IntArray, second: IntArray) -> FloatArray: ...  # (k, 2) the narrowest place
