"""Layers of rectangles and circles, made without a Gerber file."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
import shapely.affinity

from pastecheck.checks import catalogue
from pastecheck.drawing import Attribute
from pastecheck.measurements import Foil, Measurements
from pastecheck.openings import Openings, Shapes
from pastecheck.rulesets import Rule, RuleSet
from pastecheck.source import Span


class Slot(NamedTuple):
    """An opening about its place: x side and y side, or a circle."""

    x_mm: float
    y_mm: float
    across_mm: float
    along_mm: float = 0.0
    label: str = ""
    turned_deg: float = 0.0

    @property
    def outline(self) -> tuple[float, float, float]:
        return self.across_mm, self.along_mm, self.turned_deg


def measured(slots: Sequence[Slot], thickness_mm: float = 0.075, *, in_inches: bool = False) -> Measurements:
    """Measurements of slots in their order; equal ones share a shape. No side along y makes a circle."""
    distinct = sorted({slot.outline for slot in slots})
    labels = ("", *sorted({slot.label for slot in slots} - {""}))
    openings = Openings(
        shapes=_shapes(distinct),
        shape=np.array([distinct.index(slot.outline) for slot in slots], np.int64),
        x_nm=np.array([round(slot.x_mm * 1e6) for slot in slots], np.int64),
        y_nm=np.array([round(slot.y_mm * 1e6) for slot in slots], np.int64),
        line=np.arange(12, 12 + len(slots), dtype=np.int64),
        label=np.array([labels.index(slot.label) for slot in slots], np.int64),
        labels=labels,
        of_object=np.array([labels.index(slot.label) for slot in slots], np.int64),
        of_aperture=np.zeros(len(slots), np.int64),
        object_sets=((), *((Attribute("TO", ".C", (label,)),) for label in labels[1:])),
        aperture_sets=((),),
        in_inches=in_inches,
    )
    return Measurements(openings, Foil("polyester film", "polyester", thickness_mm))


def _shapes(outlines: Sequence[tuple[float, float, float]]) -> Shapes:
    cores = [_core(*outline) for outline in outlines]
    core = np.empty(len(cores), np.object_)
    core[:] = cores
    radius_mm = np.array([0.0 if along else across / 2 for across, along, _ in outlines])
    turned = np.array([turned for _, _, turned in outlines])
    outline = np.where(radius_mm > 0, shapely.buffer(core, np.maximum(radius_mm, 1e-3)), core)
    return Shapes(
        outline=outline,
        core=core,
        radius_mm=radius_mm,
        tolerance_mm=np.zeros(len(cores)),
        area_mm2=np.where(radius_mm > 0, np.pi * radius_mm**2, shapely.area(core)),
        perimeter_mm=np.where(radius_mm > 0, 2 * np.pi * radius_mm, shapely.length(core)),
        centroid_mm=np.zeros((len(turned), 2)),
        bounds_mm=shapely.bounds(core).reshape(-1, 4) + np.outer(radius_mm, [-1, -1, 1, 1]),
    )


def _core(across_mm: float, along_mm: float, turned_deg: float) -> shapely.Geometry:
    if not along_mm:
        return shapely.Point(0, 0)
    box = shapely.box(-across_mm / 2, -along_mm / 2, across_mm / 2, along_mm / 2)
    return shapely.affinity.rotate(box, turned_deg, origin=(0, 0)) if turned_deg else box


def rule(check: str, **limits: float) -> Rule:
    """A rule with some limits."""
    names = ("error_below", "warn_below", "error_above", "warn_above")
    every = {name: limits.get(name) for name in names}
    params = catalogue()[check].params() if check in catalogue() else None
    return Rule(check, **every, params=params, source="the test", span=Span("t.yaml"), places={})


def rule_set(*rules: Rule, cutter: str = "drag knife", foil: Foil | None = None) -> RuleSet:
    """A rule set of these rules, for film of 75 um cut by knife."""
    used = foil or Foil("polyester film", "polyester", 0.075)
    return RuleSet("test", "A test", "t.yaml", "0" * 64, used, cutter, rules, used.thickness_mm)


KNIFE_75 = rule_set(
    rule("area-ratio", error_below=0.60, warn_below=0.66),
    rule("aspect-ratio", error_below=1.3, warn_below=1.5),
    rule("opening-width", error_below=0.17, warn_below=0.215),
    rule("web-width", error_below=0.17, warn_below=0.225),
)
"""As the rule set that ships for this film, so that a change of that does not change what tests expect."""
