"""What the person who cuts has to know. It is not cut, so it stands in the file's description."""

from typing import Final, NamedTuple

import numpy as np
import shapely

from pastecheck.cuts.layout import Layout
from pastecheck.cuts.order import SMALL_MM, SizeClass
from pastecheck.measurements import Measurements
from pastecheck.reporters._phrases import many
from pastecheck.rulesets import Cutting, OutlineSettings
from pastecheck.units import shown, shown_um


class Job(NamedTuple):
    """What a file is made from."""

    layer: str
    """As it was named; any text."""
    sha256: str
    rule_set: str
    """Its title."""
    cutter: str = ""
    """What the foil is cut with, as the rule set says it."""

    @property
    def lines(self) -> tuple[str, ...]:
        """In words."""
        return f"Layer {self.layer}, sha256 {self.sha256}", f"Rule set: {self.rule_set}"


_SIDES: Final = {
    "top": "Top layer, as seen from the squeegee: not mirrored.",
    "bottom": "Bottom layer, mirrored: as seen from the squeegee.",
    "unknown": "It is not known which side the layer is of: not mirrored. For a bottom layer it has to be: "
    "give the file a name with bottom in it, such as paste-bottom.gbr, and make the outlines again.",
}
_DOWN: Final = (
    "The side that faces you on the cutter is the squeegee's: the one below goes down on the board."
)
_TRIANGLE: Final = (
    "The triangle tells the sides: with its long side level and its right angle at the lower left you see "
    "the squeegee's side. Cover the marks before you print."
)
_BLADE: Final = (
    "Blades are sharp, and so are plugs and edges of foil: cut away from your hand, and lift the knife out "
    "before you reach in."
)
_LASER: Final = (
    "Never cut vinyl (PVC) by laser: its smoke is poisonous and eats the machine. Edges of foil are sharp."
)


def title_of(side: str, job: Job | None) -> str:
    """What a window or a sheet is called by."""
    mirrored = {"top": "top layer", "bottom": "bottom layer, mirrored"}.get(
        side, "side unknown, not mirrored"
    )
    of = f"{job.layer}: " if job else ""
    return f"{of}outlines to cut at 1:1, {mirrored}"


def caution_of(job: Job | None) -> str:
    """What not to get hurt by: a knife, unless it is said that there is a laser."""
    return _LASER if job and "laser" in job.cutter.lower() else _BLADE


def notes_of(
    m: Measurements,
    side: str,
    layout: Layout,
    classes: list[SizeClass],
    settings: OutlineSettings,
    cutting: Cutting | None,
) -> tuple[str, ...]:
    """Notes, one a line: what it is, how it lies, in what order it is cut, what to mind."""
    page = " x ".join(f"{side_mm:g}" for side_mm in layout.page_mm)
    turned = ", turned by 90 degrees counter-clockwise" if layout.is_turned else ""
    found = [
        f"{m.foil.name}, {shown_um(m.foil.thickness_mm)}; {many(len(m.openings), 'opening')}",
        _SIDES.get(side, _SIDES["unknown"]),
        _DOWN,
        *([_TRIANGLE] if layout.marks else []),
        f"Page of {page} mm at 1:1{turned}: cut it at 100 %, not fitted to anything.",
        _scaled(cutting),
        *layout.notes,
        _ordered(classes, settings),
        _going_on(settings),
        _coupon(layout),
        *_cutting(cutting),
        *_islands(m),
    ]
    return tuple(note for note in found if note)


def _scaled(cutting: Cutting | None) -> str:
    x, y = (1.0, 1.0) if cutting is None else (cutting.scale_x, cutting.scale_y)
    if (x, y) == (1.0, 1.0):
        return "Lengths are as drawn."
    return f"Lengths are scaled for this cutter: by {x:g} in x, by {y:g} in y."


def _ordered(classes: list[SizeClass], settings: OutlineSettings) -> str:
    """The order, and how far it hops; measured, not promised."""
    apart_mm = min(one.apart_mm for one in classes)
    order = (
        f"Cut in the order of the file: openings under {SMALL_MM:g} mm first and slowly, small to large, "
        "then marks, and the frame last. Each is cut once round, counter-clockwise: like sides in one "
        "direction."
    )
    if apart_mm == np.inf:
        return order
    hop = shown(settings.hop_mm, "mm")
    few = "" if apart_mm >= settings.hop_mm else f": they are too few or too crowded for {hop}"
    return f"{order} Those that follow one another lie at least {shown(apart_mm, 'mm')} apart{few}."


def _going_on(settings: OutlineSettings) -> str:
    if not settings.overcut_mm:
        return ""
    overcut = shown(settings.overcut_mm, "mm")
    return (
        f"Each outline goes on beyond its start by {overcut}, less beside narrow webs: if your cutter does "
        "that by itself, set overcut to 0 mm."
    )


def _coupon(layout: Layout) -> str:
    if layout.coupon is None:
        return ""
    low_x, low_y, high_x, high_y = layout.coupon
    axis = "y" if high_y - low_y > high_x - low_x else "x"
    return (
        "The first group is a coupon: raise force or power in small steps until its plugs stay on the "
        "carrier and its holes are clean. Its line is 100 mm long: if it measures otherwise, set "
        f"scale-{axis} of the rule set to what it is now times 100 over that."
    )


def _cutting(cutting: Cutting | None) -> list[str]:
    if cutting is None:
        return []
    said = [("Passes", cutting.passes_said), ("blade", cutting.blade), ("carrier", cutting.carrier)]
    return ["; ".join(f"{name}: {text}" for name, text in said if text) + ".", *cutting.notes]


def _islands(m: Measurements) -> list[str]:
    """Openings with holes: the film in those is loose when it is cut."""
    has_holes = shapely.get_num_interior_rings(m.openings.shapes.outline) > 0
    count = int(np.count_nonzero(has_holes[m.openings.shape]))
    if not count:
        return []
    return [
        f"{many(count, 'opening')} with film inside that hangs on nothing and falls out: see film-island."
    ]
