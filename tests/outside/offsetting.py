"""
How narrow a region is, found by moving its walls inward and outward again with another library (pyclipper).

A place narrower than 2 r is seen by what is lost when the walls are moved by r. Either what is left falls in
parts, or a way round a hole opens: a waist. Or, when the walls are moved back, an end is missing: and where
the rest bounds it by an arc of 160 degrees and more, walls that taper by no more than 20 degrees lay across
from each other. What is missing in a corner of angle a is bounded by an arc of 180 - a.
"""

from typing import Any, NamedTuple

import numpy as np
import pyclipper
import shapely

Path = list[list[int]]
"""Corners in nanometres."""

STEP = 1.012
"""
Walls are moved by so many times as much each time. In the mouth of a limb that is as wide as 2 r a disc of
1 / sin 78 degrees, or 1.022 r, touches it less than 156 degrees apart: it must not be passed over.
"""
_FIRST_MM = 0.004
_ACROSS_DEG = 160.0
_UNSURE_DEG = 4.0
"""Lengths of arcs are known to so much."""

_NM = 1e6
_ARC_NM = 20.0
"""Arcs are drawn so finely."""
_OVER_MM = 5e-5
"""Walls are moved back by so much more, so that missing parts do not hang together by rounding."""
_WALL_MM = 2.5e-5
"""What bounds a missing part and lies so far off the wall is an arc."""
_SPECK_MM = 5e-4
"""What is missing and nowhere so wide is rounding."""
_MITRE = 2.0


class Part(NamedTuple):
    """A connected part of a region: its outer wall and its holes."""

    outer: Path
    holes: list[Path]

    def holds(self, corner: list[int]) -> bool:
        """Whether a point lies in it."""
        return bool(pyclipper.PointInPolygon(corner, self.outer)) and not any(
            pyclipper.PointInPolygon(corner, hole) == 1 for hole in self.holes
        )


def paths_of(region: shapely.Polygon) -> list[Path]:
    """Outer rings one way round, holes the other."""
    turned = shapely.orient_polygons(region)
    rings = (turned.exterior, *turned.interiors)
    return [np.rint(np.asarray(ring.coords)[:-1] * _NM).astype(np.int64).tolist() for ring in rings]


class Seen(NamedTuple):
    """Diameters at which a region is first seen to be narrow; infinite if it is wider than the most."""

    at_least_mm: float
    """By walls that may be across from each other."""
    at_most_mm: float
    """By walls that are, beyond doubt."""


def narrowest_mm(region: shapely.Polygon, most_mm: float) -> Seen:
    """
    How narrow a region is.

    If nothing is lost until all is, the diameter at which all is lost: then no two walls face.
    """
    paths = paths_of(region)
    before, radius_mm, maybe_mm = _parts(_moved(paths, 0.0)), _FIRST_MM, np.inf
    while 2 * radius_mm <= most_mm * STEP:
        inner = _moved(paths, -radius_mm)
        after = _parts(inner)
        if not after or _fell_apart(before, after):
            return Seen(min(maybe_mm, 2 * radius_mm), 2 * radius_mm)
        rest = _paths(_moved(_paths(inner), radius_mm + _OVER_MM))
        # an arc leaves its wall by what is moved too far only so much farther on, at either end
        hidden_rad = 2 * np.sqrt(2 * _OVER_MM / radius_mm)
        arc_deg = np.degrees(_longest_arc_mm(region, paths, rest) / radius_mm + hidden_rad)
        if arc_deg >= _ACROSS_DEG - _UNSURE_DEG:
            maybe_mm = min(maybe_mm, 2 * radius_mm)
        if arc_deg >= _ACROSS_DEG + _UNSURE_DEG:
            return Seen(maybe_mm, 2 * radius_mm)
        before, radius_mm = after, radius_mm * STEP
    return Seen(maybe_mm, np.inf)


def _moved(paths: list[Path], way_mm: float) -> Any:  # noqa: ANN401 - the library has no types
    """A region with its walls moved outward."""
    offset = pyclipper.PyclipperOffset(_MITRE, _ARC_NM)
    offset.AddPaths(paths, pyclipper.JT_ROUND, pyclipper.ET_CLOSEDPOLYGON)
    return offset.Execute2(way_mm * _NM)


def _paths(tree: Any) -> list[Path]:  # noqa: ANN401
    return [list(path) for path in pyclipper.PolyTreeToPaths(tree)]


def _parts(tree: Any) -> list[Part]:  # noqa: ANN401
    """Parts of a region, those that lie in holes of others too."""
    found = []
    for outer in tree.Childs:
        holes = [hole.Contour for hole in outer.Childs]
        found.append(Part(outer.Contour, holes))
        for hole in outer.Childs:
            found += _parts(hole)
    return found


def _fell_apart(before: list[Part], after: list[Part]) -> bool:
    """Whether some part fell in several, or lost a way round a hole."""
    for part in before:
        within = [one for one in after if part.holds(one.outer[0])]
        if len(within) > 1 or (within and len(within[0].holes) < len(part.holes)):
            return True
    return False


def _longest_arc_mm(region: shapely.Polygon, paths: list[Path], rest: list[Path]) -> float:
    """Length of the arcs that bound what is missing, in the missing part where they are longest."""
    clipper = pyclipper.Pyclipper()
    clipper.AddPaths(paths, pyclipper.PT_SUBJECT, True)
    clipper.AddPaths(rest, pyclipper.PT_CLIP, True)
    missing = clipper.Execute2(pyclipper.CT_DIFFERENCE, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    longest = 0.0
    for part in _parts(missing):
        polygon = shapely.Polygon(np.array(part.outer) / _NM)
        if shapely.buffer(polygon, -_SPECK_MM).is_empty:
            continue
        longest = max(longest, sum(_off_the_wall_mm(ring, region) for ring in (part.outer, *part.holes)))
    return longest


def _off_the_wall_mm(ring: Path, region: shapely.Polygon) -> float:
    """Length of a ring that does not run along the wall of a region."""
    begin = np.array(ring) / _NM
    end = np.roll(begin, -1, axis=0)
    middle = shapely.points((begin + end) / 2)
    off = shapely.distance(middle, region.boundary) > _WALL_MM
    return float(np.hypot(*(end - begin).T)[off].sum())
