"""The sheet of the job sheet, drawn with the openings in its middle, and where they go in words."""

from math import ceil, cos, radians, sin
from typing import Final, NamedTuple

from markupsafe import Markup

from pastecheck.bench import Job
from pastecheck.report import LayerReport
from pastecheck.reporters._for_the_job import sides, tenth

_LONGEST: Final = 100.0
"""Side of the sheet, in units of the drawing."""
_ARROW: Final = 24.0
"""Length of the squeegee's arrow, if the openings take no more and the sheet has room for it."""


class Lying(NamedTuple):
    """How the openings lie on a sheet, in mm as it lies."""

    width: float
    """Of the sheet."""
    height: float
    across: float
    """Of the openings, from left to right on the sheet."""
    along: float
    unusable: float
    """At each edge of the sheet."""
    is_own: bool
    """Whether it is the rule set's own sheet; else the smallest that takes the openings."""
    is_turned: bool
    """Whether the layer is turned by 90 degrees, counter-clockwise as it is seen from the squeegee's side."""

    @property
    def is_too_small(self) -> bool:
        """Whether openings lie beyond what can be cut."""
        return self._room(self.width, self.across) < 0 or self._room(self.height, self.along) < 0

    def _room(self, side: float, extent: float) -> float:
        return side - 2 * self.unusable - extent

    @property
    def size(self) -> str:
        """Of the sheet, in words."""
        return sides((self.width, self.height))


def lying(layer: LayerReport, job: Job) -> Lying:
    """On the sheet that the rule set names, in its middle; else on the smallest, as it is drawn."""
    low_x, low_y, high_x, high_y = layer.bounds_mm
    across, along = high_x - low_x, high_y - low_y
    sheet = job.sheet
    if sheet.own_mm is None:
        short, long = ceil(sheet.short_mm), ceil(sheet.long_mm)
        width, height = (long, short) if across >= along else (short, long)
        return Lying(width, height, across, along, sheet.unusable_mm, is_own=False, is_turned=False)
    if sheet.is_turned:
        across, along = along, across
    return Lying(*sheet.own_mm, across, along, sheet.unusable_mm, is_own=True, is_turned=sheet.is_turned)


def placed_told(on: Lying) -> str:
    """How the layer is laid on the sheet."""
    sheet = f"your sheet of {on.size}" if on.is_own else f"a sheet of {on.size}, the smallest that does"
    if on.is_too_small:
        return f"not on {sheet}: openings would lie beyond what can be cut of it"
    how = "turned by 90 degrees to the left" if on.is_turned else "not turned"
    left, above = (on.width - on.across) / 2, (on.height - on.along) / 2
    free = f"{left:.1f} mm bare on the left and right, {above:.1f} mm above and below"
    also = "a file of trim --outlines says itself where it lies" if on.is_own else "the rule set names none"
    return f"in the middle of {sheet}, {how}: {free} ({also})"


def drawn(layer: LayerReport, job: Job, on: Lying, number: int, seen: str) -> Markup:
    """
    The sheet with the openings in it, seen from the squeegee's side.

    Args:
        layer: Whose openings the page draws under a number.
        job: With the way of the squeegee.
        on: How they lie.
        number: As above.
        seen: From which side, in words.
    """
    scale = _LONGEST / max(on.width, on.height)
    sheet = on.width * scale, on.height * scale
    own = on.across * scale, on.along * scale
    reach = tuple(side - 2 * on.unusable * scale for side in sheet)
    wide, high = max(sheet[0], own[0]), max(sheet[1], own[1])
    extent = f"openings {on.across:.1f} x {on.along:.1f} mm"
    pieces = [
        _box("sheet", *sheet),
        _box("margin", *reach) if on.unusable else Markup(),
        _drawn_again(layer, job, on, number, scale),
        _box("openings", *own),
        _arrow(job, on, max(min(max(*own, _ARROW) / 2, min(sheet) / 2 - 1), 2)),
        _label(0, -high / 2 - 3, f"{tenth(on.width)} mm"),
        Markup(
            '<text text-anchor="middle" transform="translate({x:.1f} 0) rotate(-90)">{text}</text>'
        ).format(x=-wide / 2 - 3, text=f"{tenth(on.height)} mm"),
        _label(0, high / 2 + 7, extent),
    ]
    least = max(wide + 16, 3 * len(extent))
    box = f"{-least / 2 - 4:.1f} {-high / 2 - 12:.1f} {least + 4:.1f} {high + 22:.1f}"
    told = f"Sheet of {on.size}; openings within {on.across:.1f} x {on.along:.1f} mm in its middle. {seen}."
    return Markup('<svg class="sheet" viewBox="{box}" role="img" aria-label="{told}">{pieces}</svg>').format(
        box=box, told=told, pieces=Markup("").join(pieces)
    )


def _box(kind: str, width: float, height: float) -> Markup:
    return Markup('<rect class="{kind}" x="{x:.2f}" y="{y:.2f}" width="{w:.2f}" height="{h:.2f}"/>').format(
        kind=kind, x=-width / 2, y=-height / 2, w=width, h=height
    )


def _label(x: float, y: float, text: str) -> Markup:
    return Markup('<text text-anchor="middle" x="{x:.1f}" y="{y:.1f}">{text}</text>').format(
        x=x, y=y, text=text
    )


def _drawn_again(layer: LayerReport, job: Job, on: Lying, number: int, scale: float) -> Markup:
    """The drawing of the page once more, in the middle; where it is cut mirrored it is drawn so."""
    low_x, low_y, high_x, high_y = layer.bounds_mm
    middle_x = (low_x + high_x) / 2
    return Markup(
        '<use href="#drawn-{number}" transform="{turn}scale({scale:.5f}) translate({x:.4f} {y:.4f})"/>'
    ).format(
        number=number,
        turn="rotate(-90) " if on.is_turned else "",
        scale=scale,
        x=middle_x if job.is_mirrored else -middle_x,
        y=(low_y + high_y) / 2,
    )


def _arrow(job: Job, on: Lying, half: float) -> Markup:
    """The squeegee's way, there and back; nothing where it may go any way."""
    if job.squeegee is None:
        return Markup()
    degrees = job.squeegee.direction_deg
    if job.is_mirrored:
        degrees = 180.0 - degrees
    if on.is_turned:
        degrees += 90.0
    x, y = half * cos(radians(degrees)), -half * sin(radians(degrees))
    heads = "".join(_head(sign * x, sign * y, sign * x / half, sign * y / half) for sign in (1, -1))
    path = f"M{-x:.2f} {-y:.2f}L{x:.2f} {y:.2f}{heads}"
    return Markup('<path class="squeegee under" d="{path}"/><path class="squeegee" d="{path}"/>').format(
        path=path
    )


def _head(x: float, y: float, along_x: float, along_y: float) -> str:
    """Two short strokes back from a tip."""
    ends = ((x - 3 * along_x + sign * 2 * along_y, y - 3 * along_y - sign * 2 * along_x) for sign in (1, -1))
    (ax, ay), (bx, by) = ends
    return f"M{ax:.2f} {ay:.2f}L{x:.2f} {y:.2f}L{bx:.2f} {by:.2f}"
