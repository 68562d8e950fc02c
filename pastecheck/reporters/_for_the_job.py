"""What a person writes on the job sheet before the film goes into the cutter, in few lines."""

from collections.abc import Iterator
from math import ceil
from typing import Final

from rich.console import RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from pastecheck.bench import CuttingTime, Job, SheetNeeded, SmallOpenings, Squeegee, Totals
from pastecheck.report import LayerReport, RuleSetSummary
from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._phrases import components, many, place, size
from pastecheck.reporters._styles import QUIET
from pastecheck.reporters._told import Size, natural

_SQUARE_DEG: Final = 1.0
"""A stroke so near to an axis goes along it, by hand."""

GENERAL: Final = (
    "Take care: blades and cut foil are sharp; wear gloves with paste, which may hold lead; draw off the "
    "fumes of flux. The data sheets and the rules where you work come first."
)
_OF_MATERIALS: Final = (
    (
        ("polyester",),
        "Polyester creeps when it gets hot: no oven; clean it with isopropanol, not with acetone.",
    ),
    (("polyimide",), "A web of polyimide that is nicked once tears on: look at it before each print."),
    (("laser", "film"), "Never put vinyl (PVC) under a laser."),
)


def for_the_job(layer: LayerReport) -> Iterator[RenderableType]:
    """How to cut and print the layer; nothing where there is nothing to cut."""
    told = job_told(layer)
    if not told:
        return
    lines = Table.grid(padding=(0, 2, 0, 0))
    lines.add_column(no_wrap=True, overflow="fold", style=QUIET)
    lines.add_column(overflow="fold")
    for name, text in told:
        lines.add_row(name, Text(text))
    yield ""
    yield Text("For the job")
    yield Padding(lines, (0, 0, 0, 2))


def job_told(layer: LayerReport) -> list[tuple[str, str]]:
    """The same as names and texts."""
    totals, job = layer.totals, layer.job
    if totals is None or job is None:
        return []
    return [
        ("cut", _cut(totals, job.time)),
        *((harmless(one.name), harmless(one.text)) for one in job.settings),
        ("paste", _paste(totals)),
        ("squeegee", _squeegee(job.squeegee)),
        ("look for", _smallest(job.smallest)),
        ("sheet", _sheet(job.sheet)),
        ("side", _side(job)),
    ]


def caution(layers: tuple[LayerReport, ...], rule_set: RuleSetSummary) -> str:
    """The usual cautions, and those that a material or a cutter asks for."""
    cutters = [layer.job.cutter for layer in layers if layer.job]
    said = " ".join([rule_set.foil_name, rule_set.foil_material, *cutters[:1]]).lower()
    return " ".join(
        [GENERAL, *(text for words, text in _OF_MATERIALS if all(word in said for word in words))]
    )


def _cut(totals: Totals, time: CuttingTime | None) -> str:
    text = f"{many(totals.outlines, 'outline')}, {_way(totals.cut_length_mm)}"
    if time is None:
        return f"{text}; no time, for the rule set gives no speed"
    return (
        f"{text}; {_passes(time.passes)} at {_speeds(time)} mm/s, "
        f"{many(time.lifts, 'lift')}: {_duration(*time.within_s)}"
    )


def _way(length_mm: float) -> str:
    """
    A length that is cut.

    Example:
        >>> _way(1234), _way(4)
        ('1.23 m', '4 mm')
    """
    return f"{length_mm / 1000:.2f} m" if length_mm >= 100 else f"{length_mm:.0f} mm"


def _passes(passes: int) -> str:
    return "1 pass" if passes == 1 else f"{passes} passes"


def _speeds(time: CuttingTime) -> str:
    """
    The speed of all passes, or of each.

    Example:
        >>> _speeds(CuttingTime(20.0, 2, 2, 9.0)), _speeds(CuttingTime(15.0, 3, 2, 9.0, (20.0, 20.0, 10.0)))
        ('20', '20, 20 and 10')
    """
    *others, last = [f"{speed_mm_s:g}" for speed_mm_s in time.speeds_mm_s or (time.speed_mm_s,)]
    return f"{', '.join(others)} and {last}" if others else last


def _duration(least_s: float, most_s: float) -> str:
    """
    A time in the unit that suits it.

    Example:
        >>> _duration(36.4, 67.6), _duration(254, 472), _duration(4000, 7600)
        ('36 to 68 s', '4.2 to 7.9 min', '1.1 to 2.1 h')
    """
    for seconds, unit in ((3600.0, "h"), (60.0, "min")):
        if most_s >= 2 * seconds:
            digits = 0 if least_s >= 10 * seconds else 1
            return f"{least_s / seconds:.{digits}f} to {most_s / seconds:.{digits}f} {unit}"
    return f"{least_s:.0f} to {most_s:.0f} s"


def _paste(totals: Totals) -> str:
    told = "by your transfer efficiency" if totals.has_efficiency else "all that the openings hold"
    milligrams = totals.paste_mg
    mass = f"{_figure(milligrams / 1000)} g" if milligrams >= 1000 else f"{_figure(milligrams)} mg"
    return f"{_figure(totals.deposit_volume_mm3)} mm3, {mass} at {totals.paste_g_cm3:g} g/cm3: {told}"


def _figure(number: float) -> str:
    """
    A number to three digits or so, none of them an exponent.

    Example:
        >>> _figure(1234.5), _figure(13.97), _figure(0.207)
        ('1234', '14.0', '0.21')
    """
    return f"{number:.{0 if number >= 100 else 1 if number >= 10 else 2}f}"


def _squeegee(squeegee: Squeegee | None) -> str:
    if squeegee is None:
        return "any way: no web is so slender that the direction matters"
    webs = f"{many(squeegee.webs, 'slender web')}"
    if not squeegee.prevails:
        return f"at {squeegee.direction_deg:.0f} degrees to the board, for {webs} lie in all directions"
    off_deg = (squeegee.direction_deg + 45) % 90 - 45
    if abs(off_deg) > _SQUARE_DEG:
        return f"at {squeegee.direction_deg:.0f} degrees to the x axis as drawn, along {webs}"
    axis = "x" if squeegee.direction_deg < 45 or squeegee.direction_deg > 135 else "y"
    return f"along {axis}, as {webs} do" if squeegee.webs > 1 else f"along {axis}, as {webs} does"


def _smallest(smallest: tuple[SmallOpenings, ...]) -> str:
    return "; ".join(map(_small, smallest))


def _small(one: SmallOpenings) -> str:
    count = f"{one.count} of {size(Size(one.width_mm, one.length_mm, is_round=one.is_round))}"
    if one.components:
        return f"{count} ({components(sorted(one.components, key=natural))})"
    low_x, low_y, high_x, high_y = one.within_mm
    if one.count == 1:
        return f"{count} at {place(low_x, low_y)}"
    return f"{count}, {place(low_x, low_y)} to {place(high_x, high_y)}"


def _sheet(sheet: SheetNeeded) -> str:
    text = f"{ceil(sheet.short_mm)} x {ceil(sheet.long_mm)} mm at least"
    text += f", {tenth(sheet.margin_mm)} mm bare about the openings"
    if sheet.unusable_mm:
        text += f", {tenth(sheet.unusable_mm)} mm out of reach"
    if sheet.spare_mm is None:
        return text
    yours = "yours" if sheet.own_mm is None else f"yours of {sides(sheet.own_mm)}"
    if sheet.spare_mm < 0:
        return f"{text}; {yours} is too small by {tenth(-sheet.spare_mm)} mm"
    return f"{text}; {yours} does{', turned by 90 degrees' if sheet.is_turned else ''}"


def sides(sheet_mm: tuple[float, float]) -> str:
    """
    Width and height of a sheet.

    Example:
        >>> sides((210.0, 297.5))
        '210 x 297.5 mm'
    """
    return f"{tenth(sheet_mm[0])} x {tenth(sheet_mm[1])} mm"


def tenth(length_mm: float) -> str:
    """
    A length to a tenth of a millimetre, less a last 0.

    Example:
        >>> tenth(15.04), tenth(2.25)
        ('15', '2.2')
    """
    return f"{length_mm:.1f}".removesuffix(".0")


def _side(job: Job) -> str:
    mirrored = job.is_mirrored
    how = "cut it mirrored" if mirrored else "cut it as drawn"
    if mirrored is None:
        how = "cut a top layer as drawn, a bottom layer mirrored"
    down = ""
    if "knife" in job.cutter.lower():
        down = "; what lay on the carrier goes onto the board, the blade's lip faces the squeegee"
    return harmless(f"{how}{down}")
