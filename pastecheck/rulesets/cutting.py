"""
The section `cutting` of a rule set: how the user's own machine is set for the foil.

It is printed on the report, for the job sheet, and never judged. Speed, passes and lifts give the time that
it takes to cut.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from pastecheck.check import Unit
from pastecheck.rulesets.codes import BAD_VALUE
from pastecheck.rulesets.values import (
    FORCE,
    LENGTH,
    POWER,
    SPEED,
    TEXT,
    TIME,
    WHOLE,
    Key,
    Kind,
    above_0,
    key,
    limit,
    read_keys,
    refuse_unknown,
    value,
)
from pastecheck.rulesets.yamltree import Complaints, Items, Node, Section, described
from pastecheck.units import quoted

LIFT_S: Final = 0.3
"""To lift the knife, move on and lower it, where a rule set does not say (common practice, no source)."""
MOST_PASSES: Final = 99
MOST_SCALE: Final = 0.1
"""A cutter that is off by a larger share is set for another unit, and no factor mends that."""


@dataclass(frozen=True, slots=True)
class Pass:
    """Once along each outline."""

    speed_mm_s: float | None = None
    """None where neither the pass nor the section says."""
    force: str = ""
    """As the user wrote it, with its unit; empty where not said. So is power."""
    power: str = ""

    def __str__(self) -> str:
        """With what it is cut, and how fast."""
        speed = "" if self.speed_mm_s is None else f"{self.speed_mm_s:g} mm/s"
        return " at ".join(filter(None, [self.force, self.power, speed])) or "not said"


@dataclass(frozen=True, slots=True)
class Cutting:
    """How the foil is cut. What is not said is empty, or None."""

    passes: tuple[Pass, ...]
    lift_s: float = LIFT_S
    """For each outline and pass: lift, move, lower."""
    blade: str = ""
    blade_depth: str = ""
    """As the user wrote it, with its unit."""
    carrier: str = ""
    notes: tuple[str, ...] = ()
    scale_x: float = 1.0
    """What lengths in x are multiplied by, so that they come out as drawn."""
    scale_y: float = 1.0

    @property
    def passes_said(self) -> str:
        """
        The passes in words; equal ones together.

        Example:
            >>> Cutting((Pass(20.0), Pass(20.0))).passes_said
            '2, each at 20 mm/s'
            >>> Cutting((Pass(30.0, "40 gf"), Pass(10.0, "90 gf"))).passes_said
            '1: 40 gf at 30 mm/s; 2: 90 gf at 10 mm/s'
        """
        first, *others = self.passes
        if any(one != first for one in others):
            return "; ".join(f"{number}: {one}" for number, one in enumerate(self.passes, 1))
        at = " at" if not (first.force or first.power) else ""
        each = f",{' each' if others else ''}{at} {first}" if first != Pass() else ""
        return f"{len(self.passes)}{each}"

    @property
    def speeds_mm_s(self) -> tuple[float, ...]:
        """Of each pass; empty where one of them is not known."""
        known = tuple(one.speed_mm_s for one in self.passes if one.speed_mm_s is not None)
        return known if len(known) == len(self.passes) else ()


def as_written(kind: Kind[float]) -> Kind[str]:
    """The same kind of value, kept as the user wrote it; to be shown, not reckoned with."""

    def read(text: str) -> str:
        kind.read(text)
        return " ".join(text.split())

    return Kind(read, kind.hint, kind.schema)


def _passes(text: str) -> int:
    found = WHOLE.read(text)
    if not 1 <= found <= MOST_PASSES:
        raise ValueError(f"expected 1 to {MOST_PASSES} passes, got {found}")
    return found


def _scale(text: str) -> float:
    number = _RATIO.read(text)
    if not abs(number - 1) <= MOST_SCALE:
        raise ValueError(
            f"expected a factor from {1 - MOST_SCALE:g} to {1 + MOST_SCALE:g}, got {quoted(text)}"
        )
    return number


_RATIO: Final = limit(Unit.RATIO)
_SCALE: Final = Kind(_scale, "write 100 over what a line of 100 mm comes out as, in mm", _RATIO.schema)
_COUNT: Final = Kind(_passes, "write how many, or a list of passes, such as - {force: 80 gf}", WHOLE.schema)

_OF_A_PASS: Final[Mapping[str, Key]] = {
    "force": key(as_written(FORCE), "force on the blade, such as 80 gf"),
    "power": key(as_written(POWER), "power of the laser, such as 40 %"),
    "speed": key(above_0(SPEED), "speed of this pass, such as 20 mm/s; that of the section unless given"),
}


def _read_passes(node: Node, complaints: Complaints) -> object | None:
    """How many passes, or a list of them."""
    if not isinstance(node, Items):
        count = value(node, _COUNT, complaints)
        return None if count is None else (Pass(),) * count
    if not 1 <= len(node.items) <= MOST_PASSES:
        what = f"expected 1 to {MOST_PASSES} passes, got {len(node.items)}"
        complaints.add(BAD_VALUE, what, node.span, _COUNT.hint)
        return None
    found = [_read_pass(one, complaints) for one in node.items]
    known = tuple(one for one in found if one is not None)
    return known if len(known) == len(found) else None


def _read_pass(node: Node, complaints: Complaints) -> Pass | None:
    if not isinstance(node, Section) or not node.entries:
        what = f"expected a pass, got {described(node)}"
        complaints.add(BAD_VALUE, what, node.span, "write it as {force: 80 gf, speed: 20 mm/s}")
        return None
    refuse_unknown(node, tuple(_OF_A_PASS), "a pass", complaints)
    read: dict[str, Any] = read_keys(node, _OF_A_PASS, complaints)
    return Pass(read.get("speed"), read.get("force") or "", read.get("power") or "")


def _read_notes(node: Node, complaints: Complaints) -> object | None:
    """A text, or a list of them."""
    items = node.items if isinstance(node, Items) else (node,)
    found = [value(one, TEXT, complaints) for one in items]
    return tuple(one for one in found if one is not None)


KEYS: Final[Mapping[str, Key]] = {
    "speed": key(above_0(SPEED), "how fast the cutter follows an outline, such as 20 mm/s"),
    "passes": Key(
        _read_passes,
        {
            "anyOf": [
                WHOLE.schema,
                {
                    "type": "array",
                    "minItems": 1,
                    "maxItems": MOST_PASSES,
                    "items": {
                        "type": "object",
                        "minProperties": 1,
                        "additionalProperties": False,
                        "properties": {
                            name: {**one.schema, "description": one.says} for name, one in _OF_A_PASS.items()
                        },
                    },
                },
            ]
        },
        "how often each outline is cut; or a list of the passes, each with force or power, and speed",
    ),
    "lift": key(TIME, f"time to lift, move on and lower, for each outline and pass; {LIFT_S} s unless given"),
    "blade": key(TEXT, "which blade: its angle, its offset"),
    "blade-depth": key(as_written(LENGTH), "how far the blade stands out, such as 0.10 mm"),
    "carrier": key(TEXT, "the carrier sheet: which, how worn"),
    "scale-x": key(_SCALE, "what lengths in x are multiplied by in the file of outlines; 1 unless given"),
    "scale-y": key(_SCALE, "what lengths in y are multiplied by there; 1 unless given"),
    "notes": Key(
        _read_notes,
        {"anyOf": [TEXT.schema, {"type": "array", "items": TEXT.schema}]},
        "what else is to be remembered; a text, or a list of texts",
    ),
}
"""What the section holds."""


def cutting_of(found: Mapping[str, Any]) -> Cutting | None:
    """The section, read and merged; None where there is none."""
    if not found:
        return None
    passes: tuple[Pass, ...] = found.get("passes") or (Pass(),)
    every_mm_s = found.get("speed")
    return Cutting(
        passes=tuple(Pass(one.speed_mm_s or every_mm_s, one.force, one.power) for one in passes),
        lift_s=LIFT_S if found.get("lift") is None else found["lift"],
        blade=found.get("blade") or "",
        blade_depth=found.get("blade-depth") or "",
        carrier=found.get("carrier") or "",
        notes=found.get("notes") or (),
        scale_x=found.get("scale-x") or 1.0,
        scale_y=found.get("scale-y") or 1.0,
    )
