"""
Lands, what openings cover of them and how far they reach beyond agree with other means on 500 random layouts.

Copper and mask are composed with Clipper, in whole nanometres, from corners that are computed here: circles
and round pens as polygons of 360 corners. They take (2 pi / 360)² / 6 = 5.1e-5 of the area of a disc, and its
edge is off by 4e-5 of its radius. Overhangs are read from a raster of 10 um by scipy's distance transform.
"""

import math
from itertools import groupby
from typing import NamedTuple

import numpy as np
import pyclipper
import pytest
from scipy.ndimage import distance_transform_edt
from skimage.draw import polygon as filled

from pastecheck.drawing import BoolArray, FloatArray
from pastecheck.lands import Board, lands_of
from pastecheck.measurements import Measurements
from pastecheck.openings import SLIVER_MM2
from pastecheck.units import NM_PER_MM
from tests.drawn import FOIL, cut_text, mm_layer, read_text

LAYOUTS = 500
AT_ONCE = 50
CORNERS = 360
AREA_MM2 = 6e-5
"""Of 1 mm2: what 360 corners take of discs."""
PIXEL_MM = 0.01

Path = list[tuple[int, int]]


class Thing(NamedTuple):
    """A flash or stroke: its statements, and its corners in nanometres."""

    statements: list[str]
    path: Path
    dark: bool = True


class Layout(NamedTuple):
    copper: list[Thing]
    mask: list[Thing]
    paste: list[Thing]


def ring(radius_mm: float, x_mm: float, y_mm: float, begin: float = 0.0, sweep: float = 2 * math.pi) -> Path:
    """Corners on a circle, or on a part of it with both ends."""
    count = CORNERS if sweep > 6 else CORNERS // 2
    turns = [begin + sweep * k / (count if sweep > 6 else count - 1) for k in range(count)]
    return [in_nm(x_mm + radius_mm * math.cos(t), y_mm + radius_mm * math.sin(t)) for t in turns]


def in_nm(x_mm: float, y_mm: float) -> tuple[int, int]:
    return round(x_mm * NM_PER_MM), round(y_mm * NM_PER_MM)


def bar(a: tuple[float, float], b: tuple[float, float], width_mm: float) -> Path:
    """What a round pen draws."""
    way = math.atan2(b[1] - a[1], b[0] - a[0])
    half = width_mm / 2
    return [
        *ring(half, *b, way - math.pi / 2, math.pi),
        *ring(half, *a, way + math.pi / 2, math.pi),
    ]


class Writer:
    """Draws things and numbers their apertures."""

    def __init__(self, random: np.random.Generator) -> None:
        self.random = random
        self.number = 10

    def stroke(self, a: tuple[float, float], b: tuple[float, float], width_mm: float) -> Thing:
        ends = [in_nm(*place) for place in (a, b)]
        drawn = [f"X{x}Y{y}D0{2 - k}*" for k, (x, y) in enumerate(ends)]
        return Thing([*self._aperture(f"C,{width_mm:.6f}"), *drawn], bar(a, b, width_mm))

    def disc(self, diameter_mm: float, x_mm: float, y_mm: float) -> Thing:
        path = ring(diameter_mm / 2, x_mm, y_mm)
        return self._flash(f"C,{diameter_mm:.6f}", x_mm, y_mm, 0.0, path)

    def rectangle(self, w: float, h: float, x_mm: float, y_mm: float, degrees: float) -> Thing:
        t = math.radians(degrees)
        corners = [(-w / 2, -h / 2), (w / 2, -h / 2), (w / 2, h / 2), (-w / 2, h / 2)]
        path = [
            in_nm(x_mm + a * math.cos(t) - b * math.sin(t), y_mm + a * math.sin(t) + b * math.cos(t))
            for a, b in corners
        ]
        return self._flash(f"R,{w:.6f}X{h:.6f}", x_mm, y_mm, degrees, path)

    def _flash(self, aperture: str, x_mm: float, y_mm: float, degrees: float, path: Path) -> Thing:
        x, y = in_nm(x_mm, y_mm)
        turned = [f"%LR{degrees}*%", *self._aperture(aperture), f"X{x}Y{y}D03*", "%LR0*%"]
        return Thing(turned, path)

    def _aperture(self, text: str) -> list[str]:
        self.number += 1
        return [f"%ADD{self.number}{text}*%", f"D{self.number}*"]


def layout_of(seed: int) -> Layout:
    """Pads with tracks, some in an area of copper; windows and openings that lie about right."""
    random = np.random.default_rng([7, seed])
    writer = Writer(random)
    copper: list[Thing] = []
    mask: list[Thing] = []
    paste: list[Thing] = []
    if random.random() < 0.5:  # an area of copper over half of it, with some of the pads cut free
        copper.append(writer.rectangle(5, 3, 3, 1.5, 0))
    for column in range(4):
        for line in range(4):
            x, y = (1 + 1.5 * column + random.uniform(-0.2, 0.2), 1 + 1.5 * line + random.uniform(-0.2, 0.2))
            _part(writer, (x, y), (copper, mask, paste))
    for _ in range(4):
        a, b = random.uniform(0.5, 6, (2, 2))
        copper.append(writer.stroke(tuple(a), tuple(b), random.uniform(0.1, 0.3)))
    return Layout(copper, mask, paste)


def _part(writer: Writer, at: tuple[float, float], to: tuple[list[Thing], list[Thing], list[Thing]]) -> None:
    """A pad, a window and perhaps an opening."""
    random = writer.random
    copper, mask, paste = to
    x, y = at
    w, h = random.uniform(0.3, 0.9, 2)
    degrees = float(random.choice([0, 0, 90, 45, 30]))
    round_ = random.random() < 0.3
    off = random.uniform(-0.05, 0.05, 2)
    shift = random.uniform(-0.15, 0.15, 2) * (random.random() < 0.5)
    larger, open_ = random.uniform(-0.1, 0.25), random.uniform(-0.2, 0.1)

    def shape(more: float, dx: float, dy: float) -> Thing:
        if round_:
            return writer.disc(w + more, x + dx, y + dy)
        return writer.rectangle(w + more, h + more, x + dx, y + dy, degrees)

    if random.random() < 0.4:
        copper.append(shape(0.3, 0, 0)._replace(dark=False))
    copper.append(shape(0, 0, 0))
    mask.append(shape(larger, *off))
    if random.random() < 0.8:
        paste.append(shape(open_, *shift))


def text_of(things: list[Thing]) -> str:
    lines: list[str] = []
    for thing in things:
        lines += thing.statements if thing.dark else ["%LPC*%", *thing.statements, "%LPD*%"]
    return mm_layer(*lines)


# ------------------------------------------------------------------------------------------ by other means


def clipped(kind: int, subject: list[Path], clip: list[Path]) -> list[Path]:
    if not subject:
        return []
    tool = pyclipper.Pyclipper()
    tool.AddPaths(subject, pyclipper.PT_SUBJECT, True)
    if clip:
        tool.AddPaths(clip, pyclipper.PT_CLIP, True)
    found: list[Path] = tool.Execute(kind, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    return found


def counter_clockwise(path: Path) -> Path:
    return path if pyclipper.Orientation(path) else path[::-1]


def image_of(things: list[Thing]) -> list[Path]:
    """What is left when all is drawn, in order."""
    image: list[Path] = []
    for dark, run in groupby(things, key=lambda one: one.dark):
        paths = [counter_clockwise(thing.path) for thing in run]
        if dark:
            image = clipped(pyclipper.CT_UNION, [*image, *paths], [])
        else:
            image = clipped(pyclipper.CT_DIFFERENCE, image, paths)
    return image


def parts_of(paths: list[Path]) -> list[list[Path]]:
    """Each outer ring with its holes."""
    tool = pyclipper.Pyclipper()
    if not paths:
        return []
    tool.AddPaths(paths, pyclipper.PT_SUBJECT, True)
    tree = tool.Execute2(pyclipper.CT_UNION, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    parts: list[list[Path]] = []
    left = list(tree.Childs)
    while left:
        node = left.pop()
        parts.append([node.Contour, *(hole.Contour for hole in node.Childs)])
        left += [island for hole in node.Childs for island in hole.Childs]
    return parts


def area_mm2(paths: list[Path]) -> float:
    return abs(sum(float(pyclipper.Area(path)) for path in paths)) / NM_PER_MM**2


def middle_mm(paths: list[Path]) -> tuple[float, float]:
    """Centroid of rings, holes turning the other way."""
    twice = x_sum = y_sum = 0.0
    for path in paths:
        x, y = (np.array(path, np.float64) / NM_PER_MM).T
        cross = x * np.roll(y, -1) - np.roll(x, -1) * y
        twice += cross.sum()
        x_sum += ((x + np.roll(x, -1)) * cross).sum()
        y_sum += ((y + np.roll(y, -1)) * cross).sum()
    return x_sum / (3 * twice), y_sum / (3 * twice)


def is_thin(paths: list[Path]) -> bool:
    """Whether a part is so small or thin that it is no land, or nearly so."""
    offset = pyclipper.PyclipperOffset()
    offset.AddPaths(paths, pyclipper.JT_MITER, pyclipper.ET_CLOSEDPOLYGON)
    return area_mm2(paths) < 2 * SLIVER_MM2 or not offset.Execute(-0.011 * NM_PER_MM)


class Seen(NamedTuple):
    """A layout as Clipper sees it."""

    lands: list[list[Path]]
    openings: list[list[Path]]


def seen(layout: Layout) -> Seen:
    free = clipped(pyclipper.CT_INTERSECTION, image_of(layout.copper), image_of(layout.mask))
    return Seen([part for part in parts_of(free) if not is_thin(part)], parts_of(image_of(layout.paste)))


def measured(layout: Layout) -> Measurements:
    lands = lands_of(read_text(text_of(layout.copper)), read_text(text_of(layout.mask)))
    return Measurements(cut_text(text_of(layout.paste)), FOIL, board=Board(lands))


def matched(ours: FloatArray, theirs: list[list[Path]]) -> list[int]:
    """The row of ours whose middle is nearest to that of each of theirs."""
    rows = []
    for part in theirs:
        x, y = middle_mm(part)
        distance = np.hypot(*(ours - (x, y)).T)
        assert distance.min() < 2e-4
        rows.append(int(distance.argmin()))
    assert len(set(rows)) == len(rows)
    return rows


@pytest.mark.slow
@pytest.mark.parametrize("first", range(0, LAYOUTS, AT_ONCE))
def test_lands_and_coverage_are_those_of_clipper(first: int) -> None:
    for seed in range(first, first + AT_ONCE):
        layout = layout_of(seed)
        m, other = measured(layout), seen(layout)
        lands = m.on_lands.lands
        land = matched(m.on_lands.places_mm, other.lands)
        ours_mm2 = lands.shapes.area_mm2[lands.shape]
        # what is left over is as thin as what was left out
        assert np.delete(ours_mm2, land).max(initial=0.0) < 0.05
        for row, part in zip(land, other.lands, strict=True):
            assert ours_mm2[row] == pytest.approx(area_mm2(part), abs=AREA_MM2), (seed, row)
        _hold_coverage(m, other, land, seed)


def near(one: list[Path], other: list[Path]) -> bool:
    """Whether the boxes about outer rings meet."""
    a, b = np.array(one[0]), np.array(other[0])
    return bool((a.min(axis=0) <= b.max(axis=0)).all() and (b.min(axis=0) <= a.max(axis=0)).all())


def _hold_coverage(m: Measurements, other: Seen, land: list[int], seed: int) -> None:
    """The area of openings on each land, and the share of each opening that is off."""
    overlaps = m.on_lands.overlaps
    opening = matched(m.centroid_mm, other.openings)
    for row, part in zip(land, other.lands, strict=True):
        for at, hole in zip(opening, other.openings, strict=True):
            theirs = area_mm2(clipped(pyclipper.CT_INTERSECTION, hole, part)) if near(hole, part) else 0.0
            pair = np.flatnonzero((overlaps.land == row) & (overlaps.opening == at))
            ours = float(overlaps.area_mm2[pair].sum())
            assert ours == pytest.approx(theirs, abs=AREA_MM2), (seed, row, at)


# --------------------------------------------------------------------------------------------- by a raster


def raster(paths: list[Path], low_mm: FloatArray, size: tuple[int, int]) -> BoolArray:
    """Pixels whose middles lie inside: outer rings less holes."""
    image = np.zeros(size, bool)
    for path in paths:
        place = (np.array(path) / NM_PER_MM - low_mm) / PIXEL_MM - 0.5
        rows, columns = filled(place[:, 1], place[:, 0], size)
        image[rows, columns] ^= True
    return image


@pytest.mark.slow
@pytest.mark.parametrize("first", range(0, LAYOUTS // 5, AT_ONCE // 5))
def test_overhangs_are_those_of_a_raster(first: int) -> None:
    size = (300, 300)
    for seed in range(first, first + AT_ONCE // 5):
        layout = layout_of(seed)
        m, other = measured(layout), seen(layout)
        overlaps, overhang = m.on_lands.overlaps, m.on_lands.overhang
        land = dict(zip(matched(m.on_lands.places_mm, other.lands), other.lands, strict=True))
        opening = matched(m.centroid_mm, other.openings)
        for at, hole in zip(opening, other.openings, strict=True):
            own = overlaps.land[(overlaps.opening == at) & overlaps.is_own].tolist()
            if not own or any(row not in land for row in own) or np.isnan(overhang.reach_mm[at]):
                continue
            low_mm = np.array(middle_mm(hole)) - PIXEL_MM * 150
            below = np.logical_or.reduce([raster(land[row], low_mm, size) for row in own])
            away_mm = distance_transform_edt(~below) * PIXEL_MM
            farthest = float(away_mm[raster(hole, low_mm, size)].max(initial=0.0))
            # a corner of 45 degrees between samples is off by 1.8 pixels, and the distance by another
            assert overhang.reach_mm[at] == pytest.approx(farthest, abs=3 * PIXEL_MM), (seed, at)
