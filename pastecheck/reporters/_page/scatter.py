"""Area ratio against volume as a picture: what sizes there are, and how near to the limits they lie."""

from collections.abc import Iterator
from math import ceil, floor, log10
from typing import Final, NamedTuple

import numpy as np
from markupsafe import Markup, escape

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.ragged import distinct_rows
from pastecheck.report import LayerReport
from pastecheck.reporters._limits import limit_shown
from pastecheck.reporters._phrases import many

_WIDTH: Final = 640
_HEIGHT: Final = 320
_LEFT, _RIGHT, _TOP, _BOTTOM = 52, 132, 14, 44
_TICKS: Final = (1.0, 2.0, 5.0)
_DIGITS: Final = 3
"""Points that are equal to so many significant digits are one."""
_MOST_POINTS: Final = 3_000
_CHECK: Final = "area-ratio"
_KINDS: Final = ("good", "warning", "error")


class _Axis(NamedTuple):
    """A logarithmic scale, from and to in units, and on the picture."""

    low: float
    high: float
    begin: float
    end: float

    def at(self, value: float) -> float:
        share = (log10(value) - log10(self.low)) / (log10(self.high) - log10(self.low))
        return self.begin + share * (self.end - self.begin)

    def ticks(self) -> Iterator[float]:
        for power in range(floor(log10(self.low)), ceil(log10(self.high)) + 1):
            for step in _TICKS:
                if self.low <= (tick := step * 10.0**power) <= self.high:
                    yield tick


class _Points(NamedTuple):
    """What is equal as far as a picture tells. Shape (p,) each."""

    volume_mm3: FloatArray
    ratio: FloatArray
    """The least, and its volume."""
    openings: IntArray
    level: IntArray
    """Row of `_KINDS`, the worst that was found of one of them."""


def scatter_of(layer: LayerReport, thickness_mm: float) -> Markup:
    """The picture as SVG; the style of the page has its classes."""
    table = layer.table
    points = _gathered(table.area_mm2 * thickness_mm, table.area_ratio, _levels(layer))
    limits = next((one.limits for one in layer.outcomes if one.check == _CHECK), {})
    known = {name: limits[name] for name in ("error_below", "warn_below") if limits.get(name, 0) > 0}
    across = _axis(points.volume_mm3, (), _LEFT, _WIDTH - _RIGHT)
    up = _axis(points.ratio, tuple(known.values()), _HEIGHT - _BOTTOM, _TOP)
    told = (
        f"Area ratio against volume of {many(layer.openings, 'opening')}: ratios from "
        f"{points.ratio.min():.2f} to {points.ratio.max():.2f}, volumes from {points.volume_mm3.min():.3g} "
        f"to {points.volume_mm3.max():.3g} mm3."
    )
    parts = [
        *_frame(across, up),
        *_limits(known, up),
        *_dots(points, across, up),
    ]
    return Markup(
        '<svg class="chart" viewBox="0 0 {width} {height}" role="img" aria-label="{told}">{parts}</svg>'
    ).format(width=_WIDTH, height=_HEIGHT, told=told, parts=Markup("").join(parts))


def _levels(layer: LayerReport) -> IntArray:
    """Of each opening what was found of its area ratio, as a row of `_KINDS`. Shape (n,)."""
    level = np.zeros(layer.openings, np.int64)
    for outcome in layer.outcomes:
        for one in outcome.findings if outcome.check == _CHECK else ():
            if one.opening is not None:
                level[one.opening - 1] = _KINDS.index(one.level.value)
    return level


def _gathered(volume_mm3: FloatArray, ratio: FloatArray, level: IntArray) -> _Points:
    by_ratio = np.argsort(ratio, kind="stable")
    volume_mm3, ratio, level = volume_mm3[by_ratio], ratio[by_ratio], level[by_ratio]
    kinds = distinct_rows(np.column_stack([_short(volume_mm3), _short(ratio)]))
    count, worst = np.bincount(kinds.inverse), np.zeros(len(kinds.first), np.int64)
    np.maximum.at(worst, kinds.inverse, level)
    order = np.argsort(kinds.first)[:_MOST_POINTS]  # the worst where they are very many
    first = kinds.first[order]
    return _Points(volume_mm3[first], ratio[first], count[order], worst[order])


def _short(column: FloatArray) -> IntArray:
    """Logarithms in steps of a significant digit. Shape as given."""
    steps: IntArray = np.rint(np.log10(np.maximum(column, 1e-12)) * 10**_DIGITS / 2).astype(np.int64)
    return steps


def _axis(values: FloatArray, also: tuple[float, ...], begin: float, end: float) -> _Axis:
    low, high = min(values.min(), *also, np.inf), max(values.max(), *also, 0.0)
    return _Axis(float(max(low, 1e-9)) / 1.25, float(high) * 1.25, begin, end)


def _frame(across: _Axis, up: _Axis) -> Iterator[Markup]:
    for tick in across.ticks():
        x = across.at(tick)
        yield _line("grid", x, up.begin, x, up.end)
        yield _text(x, up.begin + 16, "middle", f"{tick:g}")
    for tick in up.ticks():
        y = up.at(tick)
        yield _line("grid", across.begin, y, across.end, y)
        yield _text(across.begin - 6, y + 4, "end", f"{tick:g}")
    yield _text((across.begin + across.end) / 2, _HEIGHT - 8, "middle", "volume of the opening, mm3", "name")
    yield Markup(
        '<text class="name" transform="translate(13 {y:.1f}) rotate(-90)" text-anchor="middle">'
        "area ratio</text>"
    ).format(y=(up.begin + up.end) / 2)


def _limits(known: dict[str, float], up: _Axis) -> Iterator[Markup]:
    words = {"error_below": ("error", "error below"), "warn_below": ("warning", "warning below")}
    places = sorted(known.items(), key=lambda one: one[1])
    for nth, (name, limit) in enumerate(places):
        kind, told = words[name]
        y = up.at(limit)
        yield _line(f"limit {kind}", _LEFT, y, _WIDTH - _RIGHT, y)
        yield _text(
            _WIDTH - _RIGHT + 6,
            y + (12 if nth == 0 and len(places) > 1 else 0),
            "start",
            f"{told} {limit_shown(limit, '1')}",
            kind,
        )


def _dots(points: _Points, across: _Axis, up: _Axis) -> Iterator[Markup]:
    for volume, ratio, count, level in zip(*(column.tolist() for column in points), strict=True):
        kind = _KINDS[level]
        size = 3.0 + 1.6 * log10(count)
        x, y = across.at(max(volume, across.low)), up.at(max(ratio, up.low))
        told = escape(f"{many(count, 'opening')}: area ratio {ratio:.2f}, {volume:.3g} mm3")
        yield Markup('<path class="dot {kind}" d="{path}"><title>{told}</title></path>').format(
            kind=kind, path=_mark(kind, x, y, size), told=told
        )


def _mark(kind: str, x: float, y: float, size: float) -> str:
    """A diamond for an error, a triangle for a warning, else a circle: told apart without their colours."""
    if kind == "error":
        wide = 1.3 * size
        return f"M{x - wide:.1f} {y:.1f}l{wide:.1f} {-wide:.1f} {wide:.1f} {wide:.1f} {-wide:.1f} {wide:.1f}z"
    if kind == "warning":
        return f"M{x:.1f} {y - 1.3 * size:.1f}l{1.25 * size:.1f} {2.1 * size:.1f}h{-2.5 * size:.1f}z"
    arc = f"a{size:.1f} {size:.1f} 0 1 0"
    return f"M{x - size:.1f} {y:.1f}{arc} {2 * size:.1f} 0{arc} {-2 * size:.1f} 0"


def _line(kind: str, x: float, y: float, to_x: float, to_y: float) -> Markup:
    return Markup('<path class="{kind}" d="M{x:.1f} {y:.1f}L{to_x:.1f} {to_y:.1f}"/>').format(
        kind=kind, x=x, y=y, to_x=to_x, to_y=to_y
    )


def _text(x: float, y: float, anchor: str, text: str, kind: str = "") -> Markup:
    return Markup('<text class="{kind}" x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{text}</text>').format(
        kind=kind, x=x, y=y, anchor=anchor, text=text
    )
