"""
SVG read back by a library that knows nothing of us: at 25.4 pixels an inch a pixel is a millimetre.

To that library a millimetre is 0.0393701 inches, so all it says is too large by half a part in a million.
"""

import io
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from svgelements import SVG, Arc, Close, Group, Line, Matrix, Move, Path, Point

_ARC_STEPS = 90
_TOO_LARGE = 0.0393701 * 25.4

Places: TypeAlias = NDArray[np.float64]
Segment: TypeAlias = Line | Close | Arc


@dataclass(frozen=True)
class Cut:
    """A path as it is cut, in mm from the upper left corner, y down."""

    subpaths: list[list[Segment]]
    """Segments of each, the moves left out."""

    @property
    def lines(self) -> list[Places]:
        """Points along each subpath, to the nanometre, as they stand in the file."""
        return [np.vstack([_points(one) for one in subpath]).round(6) for subpath in self.subpaths]

    @property
    def start(self) -> Places:
        return _at(self.subpaths[-1][0].start)

    @property
    def length_mm(self) -> float:
        return sum(_length_mm(one) for subpath in self.subpaths for one in subpath)

    def rings(self) -> list[Places]:
        """Points of each subpath from its start until it comes back there."""
        return [line[: _back(line) + 1] for line in self.lines]

    @property
    def overcut_mm(self) -> list[float]:
        """How far each subpath goes on when it has come back to its start."""
        return [
            float(np.hypot(*np.diff(line[_back(line) :], axis=0).T).sum())
            if _back(line) + 1 < len(line)
            else 0.0
            for line in self.lines
        ]

    @property
    def polygon(self) -> shapely.Polygon:
        """What is cut out: the last ring less those before it."""
        *holes, outer = self.rings()
        return shapely.Polygon(outer, holes)

    @property
    def area_mm2(self) -> float:
        """Exact, arcs as arcs."""
        *holes, outer = [abs(_area_mm2(subpath)) for subpath in self.subpaths]
        return outer - sum(holes)


@dataclass(frozen=True)
class Sheet:
    """A file read back."""

    width_mm: float
    height_mm: float
    groups: dict[str, list[Cut]]
    """By their ids, in the order of the file."""

    def named(self, part: str) -> list[Cut]:
        return [cut for name, cuts in self.groups.items() if part in name for cut in cuts]

    @property
    def openings(self) -> list[Cut]:
        return self.named("-openings-")


def read(text: str) -> Sheet:
    svg = SVG.parse(io.StringIO(text), reify=True, ppi=25.4)
    (outer,) = [one for one in svg if isinstance(one, Group) and one.id == "cut"]
    exact = Matrix.scale(1 / _TOO_LARGE)
    groups = {
        one.id: [_cut(abs(path * exact)) for path in one if isinstance(path, Path)]
        for one in outer
        if isinstance(one, Group)
    }
    return Sheet(float(svg.width) / _TOO_LARGE, float(svg.height) / _TOO_LARGE, groups)


def _cut(path: Path) -> Cut:
    subpaths: list[list[Segment]] = []
    for one in path:
        if isinstance(one, Move):
            subpaths.append([])
        elif not (isinstance(one, Close) and abs(one.start - one.end) < 1e-9):
            assert isinstance(one, Line | Close | Arc), one
            subpaths[-1].append(one)
    return Cut(subpaths)


def _at(point: Point) -> Places:
    return np.array([point.x, point.y])


def _points(one: Segment) -> Places:
    if isinstance(one, Arc):
        return np.asarray(one.npoint(np.linspace(0, 1, _ARC_STEPS + 1)), dtype=np.float64)
    return np.array([_at(one.start), _at(one.end)])


def _length_mm(one: Segment) -> float:
    return float(np.hypot(*np.diff(_points(one), axis=0).T).sum())


def _back(line: Places) -> int:
    """Row at which a line first comes back to its start."""
    near = np.hypot(*(line - line[0]).T) < 2e-6
    away = int(np.flatnonzero(~near)[0])
    return away + int(np.flatnonzero(near[away:])[0])


def _area_mm2(subpath: list[Segment]) -> float:
    """
    By the chords of a closed subpath, and what each arc bulges beyond its chord: r² (t - sin t) / 2.

    What is cut again has its own chord there and none back, so it is left out: all areas are about the start.
    """
    start, area = _at(subpath[0].start), 0.0
    for one in subpath:
        begin, end = _at(one.start) - start, _at(one.end) - start
        area += (begin[0] * end[1] - begin[1] * end[0]) / 2
        if isinstance(one, Arc):
            area += one.rx * one.ry * (one.sweep - np.sin(one.sweep)) / 2
        if np.hypot(*end) < 2e-6:
            break
    return area
