"""Random openings whose necks and tongues are measured, and looked for by other means."""

import os
from collections.abc import Callable
from functools import cache
from itertools import count, islice
from typing import NamedTuple

import numpy as np
import shapely
import shapely.affinity

from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from tests.drawn import measured as measured_text
from tests.drawn import mm_layer
from tests.geometry.outlines import outline_of

IS_LONG = os.environ.get("HYPOTHESIS_PROFILE") == "long"

_NM = 1e6
_TIP_DEG = 154
_NEEDLE_DEG = 177
_SHORT_MM = 0.06
_LEAST_MM2 = 0.01


def layouts(few: int) -> list[int]:
    """Seeds of random openings whose necks can be told by other means; 500 with HYPOTHESIS_PROFILE=long."""
    return _first(few, lambda seed: not _has_unsure_tips(outline_of(seed)))


def layouts_of_tongues(few: int) -> list[int]:
    """The same of tongues: film that runs out to a tip of 20 degrees is none, and would be seen as one."""
    return _first(few, lambda seed: float(_turns_deg(notched(seed)).turn.min()) > -_TIP_DEG)


def _first(few: int, is_one: Callable[[int], bool]) -> list[int]:
    return list(islice(filter(is_one, count()), 500 if IS_LONG else few))


@cache
def notched(seed: int) -> shapely.Polygon:
    """A random outline with up to three notches, parallel or tapering; what is left of it in one, to 1 nm."""
    random = np.random.default_rng([77, seed])
    outline = outline_of(seed)
    for _ in range(int(random.integers(1, 4))):
        near, far = (
            np.sort(random.uniform(0.04, 0.5, 2))
            if random.random() < 0.5
            else [random.uniform(0.04, 0.5)] * 2
        )
        depth = random.uniform(0.2, 1.0)
        notch = shapely.Polygon([(0, -near / 2), (depth, -far / 2), (depth, far / 2), (0, near / 2)])
        notch = shapely.affinity.rotate(notch, random.uniform(0, 360), origin=(0, 0))
        x, y = random.uniform(outline.bounds[:2], outline.bounds[2:])
        left = shapely.difference(outline, shapely.affinity.translate(notch, x, y))
        parts = shapely.get_parts(shapely.set_precision(left, 1 / _NM))
        largest = max(parts, key=shapely.area, default=outline)
        outline = largest if isinstance(largest, shapely.Polygon) and largest.area > _LEAST_MM2 else outline
    return outline


@cache
def measured(outline: shapely.Polygon) -> Measurements:
    """One opening, drawn as a region with holes cut out, and read from Gerber."""
    holes = [statement for ring in outline.interiors for statement in ("%LPC*%", *_filled(ring))]
    m = measured_text(mm_layer(*_filled(outline.exterior), *holes))
    assert len(m.openings) == 1
    return m


def _filled(ring: shapely.LinearRing) -> list[str]:
    first, *others = [
        f"X{x}Y{y}" for x, y in np.rint(np.asarray(ring.coords) * _NM).astype(np.int64).tolist()
    ]
    return ["G36*", f"{first}D02*", "G01*", *(f"{corner}D01*" for corner in others), "G37*"]


class _Turns(NamedTuple):
    """Corners of an outline: how they turn, positive where the opening is convex, and their shorter side."""

    turn: FloatArray
    side_mm: FloatArray


def _turns_deg(outline: shapely.Polygon) -> _Turns:
    turns, sides = [], []
    turned = shapely.orient_polygons(outline)
    for ring in (turned.exterior, *turned.interiors):
        corner = np.asarray(ring.coords)[:-1]
        coming, going = corner - np.roll(corner, 1, axis=0), np.roll(corner, -1, axis=0) - corner
        cross = coming[:, 0] * going[:, 1] - coming[:, 1] * going[:, 0]
        turns.append(np.degrees(np.arctan2(cross, (coming * going).sum(axis=1))))
        sides.append(np.minimum(np.hypot(*coming.T), np.hypot(*going.T)))
    return _Turns(np.concatenate(turns), np.concatenate(sides))


def _has_unsure_tips(outline: shapely.Polygon) -> bool:
    """
    Whether a corner is about as sharp as those that are necks of 0, or has short sides, or is a needle.

    Of these a raster and offsets see something else than the definition, which goes by angles and lengths.
    """
    turn, side_mm = _turns_deg(outline)
    unsure = (side_mm < _SHORT_MM) | (turn < 166) | (turn > _NEEDLE_DEG)
    return bool(((turn > _TIP_DEG) & unsure).any())
