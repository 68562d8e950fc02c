"""The job sheet of a layer: what stands at the cutter and at the bench, on one page of paper."""

from dataclasses import dataclass
from math import ceil, cos, radians, sin
from typing import Final

from markupsafe import Markup

from pastecheck.bench import Job
from pastecheck.report import LayerReport, RuleSetSummary
from pastecheck.reporters._for_the_job import caution, job_told
from pastecheck.reporters._phrases import side, side_of_board
from pastecheck.units import shown_um

_NAMES: Final = {"cut": "cut length and time", "squeegee": "squeegee", "look for": "smallest openings"}
_SHEET_DRAWN: Final = 100.0
"""Longest side of the drawn sheet, in units of the drawing."""
_ARROW_DRAWN: Final = 24.0
"""Length of the squeegee's arrow, if the openings take no more and the sheet has room for it."""
_TO_WRITE: Final = ("force", "speed", "blade", "cut on", "by")
"""What the person at the cutter fills in."""

_HOT: Final = "Hot plates and ovens burn, also for a good while after they were switched off."

COUPON: Final = (
    (
        "Cut a coupon in the waste edge of each new sheet first: five slots of 0.25 x 1.5 mm at 0.5 mm, "
        "three 0.5 mm squares, one 10 mm square, one line of 100 mm. Raise the force in small steps until "
        "the plugs stay on the carrier and the holes are clean; write down force, speed and passes."
    ),
    (
        "The blade scores the carrier and never cuts it. Two passes in the same direction, light and then "
        "heavy; slowly where openings are under 0.6 mm, those first, and no neighbours one after the other."
    ),
    (
        "Peel the film off the carrier at a low angle, along the long webs; push plugs that stay from the "
        "flat side. Hold it against the light and count the smallest openings."
    ),
    "Print with the blade at 45 to 60 degrees, in one firm stroke, and lift straight off.",
)
"""Practice, no source: each figure is replaced by the person's own."""


@dataclass(frozen=True, slots=True)
class JobSheet:
    """What is set on the page."""

    facts: tuple[tuple[str, str], ...]
    lines: tuple[tuple[str, str], ...]
    sizes: tuple[tuple[str, str], ...]
    """To be measured with a ruler."""
    to_write: tuple[str, ...]
    practice: tuple[str, ...]
    caution: str
    sheet: Markup
    """The sheet, drawn."""
    seen: str
    """From which side."""


def job_sheet_of(layer: LayerReport, rule_set: RuleSetSummary, number: int) -> JobSheet | None:
    """The job sheet of a layer that is drawn on the page under a number; None with nothing to cut."""
    job = layer.job
    if job is None:
        return None
    return JobSheet(
        facts=(
            ("film", f"{rule_set.foil_name}, {shown_um(rule_set.foil_thickness_mm)}"),
            ("cutter", job.cutter or "not said by the rule set"),
            ("side of the board", side_of_board(layer.side)),
            ("openings", str(layer.openings)),
        ),
        lines=tuple((_NAMES.get(name, name), text) for name, text in job_told(layer)),
        sizes=_sizes(layer),
        to_write=_TO_WRITE,
        practice=COUPON if "knife" in job.cutter.lower() else COUPON[-1:],
        caution=f"{caution((layer,), rule_set)} {_HOT}",
        sheet=_sheet(layer, job, number),
        seen=_seen(job),
    )


def _seen(job: Job) -> str:
    """The side that the sheet is drawn from; where it is not known which way it is cut, that is said."""
    if job.is_mirrored is None:
        return "As the file has it; a bottom layer is the other way round, seen from the squeegee's side"
    return f"Seen from the squeegee's side{', the file mirrored' if job.is_mirrored else ''}"


def _sizes(layer: LayerReport) -> tuple[tuple[str, str], ...]:
    low_x, low_y, high_x, high_y = layer.bounds_mm
    table = layer.table
    largest = int(table.area_mm2.argmax())
    return (
        ("film: leftmost to rightmost edge of openings", f"{high_x - low_x:.2f} mm"),
        ("film: lowest to highest edge of openings", f"{high_y - low_y:.2f} mm"),
        (
            f"film: largest opening, at ({table.x_mm[largest]:z.1f}, {table.y_mm[largest]:z.1f}) mm",
            f"{side(float(table.width_mm[largest]))} x {side(float(table.length_mm[largest]))} mm",
        ),
        ("this paper, printed at 100 %: the line below", "100.0 mm, within 0.1 mm"),
    )


def _sheet(layer: LayerReport, job: Job, number: int) -> Markup:
    """The smallest sheet that does, with the openings in it, seen from the squeegee's side."""
    low_x, low_y, high_x, high_y = layer.bounds_mm
    wide_mm, high_mm = high_x - low_x, high_y - low_y
    short_mm, long_mm = ceil(job.sheet.short_mm), ceil(job.sheet.long_mm)
    sheet_mm = (long_mm, short_mm) if wide_mm >= high_mm else (short_mm, long_mm)
    scale = _SHEET_DRAWN / long_mm
    sheet_w, sheet_h = sheet_mm[0] * scale, sheet_mm[1] * scale
    own_w, own_h = wide_mm * scale, high_mm * scale
    told = (
        f"Sheet of {sheet_mm[0]} x {sheet_mm[1]} mm; openings within {wide_mm:.1f} x {high_mm:.1f} mm in its "
        f"middle. {_seen(job)}."
    )
    pieces = [
        _box("sheet", sheet_w, sheet_h),
        _drawn(layer, job, number, scale),
        _box("openings", own_w, own_h),
        _arrow(job, max(min(max(min(own_w, own_h), _ARROW_DRAWN) / 2, min(sheet_w, sheet_h) / 2 - 1), 2)),
        _label(0, -sheet_h / 2 - 3, f"{sheet_mm[0]} mm"),
        Markup(
            '<text text-anchor="middle" transform="translate({x:.1f} 0) rotate(-90)">{text}</text>'
        ).format(x=-sheet_w / 2 - 3, text=f"{sheet_mm[1]} mm"),
        _label(0, sheet_h / 2 + 7, f"openings {wide_mm:.1f} x {high_mm:.1f} mm"),
    ]
    box = f"{-sheet_w / 2 - 12:.1f} {-sheet_h / 2 - 12:.1f} {sheet_w + 16:.1f} {sheet_h + 22:.1f}"
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


def _drawn(layer: LayerReport, job: Job, number: int, scale: float) -> Markup:
    """The drawing of the page once more, in the middle; where it is cut mirrored it is drawn so."""
    low_x, low_y, high_x, high_y = layer.bounds_mm
    middle_x = (low_x + high_x) / 2
    return Markup(
        '<use href="#drawn-{number}" transform="scale({scale:.5f}) translate({x:.4f} {y:.4f})"/>'
    ).format(
        number=number,
        scale=scale,
        x=middle_x if job.is_mirrored else -middle_x,
        y=(low_y + high_y) / 2,
    )


def _arrow(job: Job, half: float) -> Markup:
    """The squeegee's way, there and back; along y where any will do."""
    degrees = 90.0 if job.squeegee is None else job.squeegee.direction_deg
    if job.is_mirrored:
        degrees = 180.0 - degrees
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
