"""The job sheet of a layer: what stands at the cutter and at the bench, on one page of paper."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from markupsafe import Markup

from pastecheck.bench import Job
from pastecheck.report import LayerReport, RuleSetSummary
from pastecheck.reporters._for_the_job import caution, job_told, tenth
from pastecheck.reporters._page.sheet import Lying, drawn, lying, placed_told
from pastecheck.reporters._phrases import foil_word, side, side_of_board
from pastecheck.units import shown_um

_NAMES: Final = {"cut": "cut length and time", "squeegee": "squeegee", "look for": "smallest openings"}
_TO_WRITE: Final = {
    "knife": ("force", "speed", "blade", "cut on", "by"),
    "laser": ("power", "speed", "passes", "cut on", "by"),
    "": ("order", "made by", "on"),
}
"""What the person at the cutter fills in, by a word of what is cut with."""

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
        "Peel the {foil} off the carrier at a low angle, along the long webs; push plugs that stay from the "
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
    caption: str
    """From which side the sheet is drawn, and what its signs mean."""


def job_sheet_of(layer: LayerReport, rule_set: RuleSetSummary, number: int) -> JobSheet | None:
    """The job sheet of a layer that is drawn on the page under a number; None with nothing to cut."""
    job = layer.job
    if job is None:
        return None
    word, on = foil_word(rule_set.foil_name, rule_set.foil_material), lying(layer, job)
    return JobSheet(
        facts=(
            (word, f"{rule_set.foil_name}, {shown_um(rule_set.foil_thickness_mm)}"),
            ("cutter", job.cutter or "not said by the rule set"),
            ("side of the board", side_of_board(layer.side)),
            ("openings", str(layer.openings)),
        ),
        lines=tuple(_lines(layer, on)),
        sizes=_sizes(layer, word),
        to_write=next(fields for word, fields in _TO_WRITE.items() if word in job.cutter.lower()),
        practice=_practice(job, word),
        caution=f"{caution((layer,), rule_set)} {_HOT}",
        sheet=drawn(layer, job, on, number, _seen(job)),
        caption=". ".join([_seen(job), *_signs(job, on)]),
    )


def _lines(layer: LayerReport, on: Lying) -> Iterator[tuple[str, str]]:
    """As the terminal tells them, and how the layer is laid on the sheet."""
    for name, text in job_told(layer):
        yield _NAMES.get(name, name), text
        if name == "sheet":
            yield "lay it", placed_told(on)


def _practice(job: Job, word: str) -> tuple[str, ...]:
    said = COUPON if "knife" in job.cutter.lower() else COUPON[-1:]
    return tuple(text.format(foil=word) for text in said)


def _seen(job: Job) -> str:
    """The side that the sheet is drawn from; where it is not known which way it is cut, that is said."""
    if job.is_mirrored is None:
        return "As the file has it; a bottom layer is the other way round, seen from the squeegee's side"
    return f"Seen from the squeegee's side{', the file mirrored' if job.is_mirrored else ''}"


def _signs(job: Job, on: Lying) -> Iterator[str]:
    """What the signs in the drawn sheet mean."""
    if on.unusable:
        yield f"Dashed: {tenth(on.unusable)} mm at each edge are out of the cutter's reach"
    if job.squeegee is None:
        yield "The squeegee may go any way"
    else:
        yield "The arrow is the way of the squeegee, there and back"


def _sizes(layer: LayerReport, word: str) -> tuple[tuple[str, str], ...]:
    low_x, low_y, high_x, high_y = layer.bounds_mm
    table = layer.table
    largest = int(table.area_mm2.argmax())
    return (
        (f"{word}: leftmost to rightmost edge of openings", f"{high_x - low_x:.2f} mm"),
        (f"{word}: lowest to highest edge of openings", f"{high_y - low_y:.2f} mm"),
        (
            f"{word}: largest opening, at ({table.x_mm[largest]:z.1f}, {table.y_mm[largest]:z.1f}) mm",
            f"{side(float(table.width_mm[largest]))} x {side(float(table.length_mm[largest]))} mm",
        ),
        ("this paper, printed at 100 %: the line below", "100.0 mm, within 0.1 mm"),
    )
