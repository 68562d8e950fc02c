"""What the statements that are no coordinates say: the rare half of the graphics state."""

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from pastecheck.drawing import IntArray
from pastecheck.gerber.apertures import Definition, Transform
from pastecheck.gerber.attributes import fields_of
from pastecheck.gerber.codes import Remark
from pastecheck.gerber.image_commands import ImageChange
from pastecheck.gerber.in_force import InForce
from pastecheck.gerber.macros import Macro


class Format(NamedTuple):
    """How coordinates are written."""

    omission: str
    """Which zeros may be left out: L leading, T trailing, D or "" none."""
    is_incremental: bool
    integers: int
    decimals: int

    @property
    def digits(self) -> int:
        """Of a number written in full."""
        return self.integers + self.decimals


class Bracket(NamedTuple):
    """Where a step-and-repeat or a block begins or ends."""

    statement: int
    what: str
    """`repeat`, `block`, `end repeat` or `end block`."""
    number: int = 0
    """The block's aperture number."""
    across: int = 1
    up: int = 1
    step_x: float = 0.0
    step_y: float = 0.0

    @property
    def moves_on(self) -> bool:
        """Whether no current point is defined behind it; to repeat once, as old headers say, does nothing."""
        return self.what != "repeat" or self.across * self.up > 1


@dataclass(slots=True)
class State:
    """Histories hold the statement from which a value holds; remarks the statements they are about."""

    of_objects: InForce
    """Attributes that objects get where they are drawn."""
    of_apertures: InForce
    """Those that apertures get where they are defined, and regions where they are drawn."""
    format: Format | None = None
    format_at: int = -1
    inches: bool | None = None
    units_at: int = -1
    functions: list[tuple[int, str]] = field(default_factory=list)
    """Each .FileFunction that says something else than those before it."""
    source_step_mm: float = 0.0
    """How coarse the numbers were that the layer was made from, by its own words."""
    negative_at: list[int] = field(default_factory=list)
    """Where the file calls itself negative."""
    negative_image_at: list[int] = field(default_factory=list)
    """Where it says that its image is (IPNEG)."""
    definitions: dict[int, list[Definition]] = field(default_factory=dict)
    """By aperture number, in order; more than one only where they differ."""
    macros: dict[str, Macro] = field(default_factory=dict)
    blocks: dict[int, int] = field(default_factory=dict)
    """Where each block is begun, by its aperture number."""
    polarity: list[tuple[int, bool]] = field(default_factory=list)
    transform: list[tuple[int, Transform]] = field(default_factory=list)
    image: list[tuple[str, ImageChange]] = field(default_factory=list)
    """Commands for the whole image that are deprecated, and what they do."""
    brackets: list[Bracket] = field(default_factory=list)
    open_blocks: int = 0
    remarks: dict[Remark, list[int]] = field(default_factory=dict)

    def generations(self, number: IntArray, statement: IntArray) -> IntArray:
        """Which of its definitions an aperture has at a statement. Shape of both."""
        generation = np.zeros(len(number), np.int64)
        for one, definitions in self.definitions.items():
            if len(definitions) > 1:
                rows = np.flatnonzero(number == one)
                since = [definition.statement for definition in definitions[1:]]
                generation[rows] = np.searchsorted(since, statement[rows], side="right")
        return generation

    @property
    def function(self) -> str:
        """The first .FileFunction; "" where there is none."""
        return self.functions[0][1] if self.functions else ""

    def name_function(self, at: int, function: str) -> None:
        """Keep .FileFunction; one that only repeats another says nothing."""
        known = [fields_of(one) for _, one in self.functions]
        if function and fields_of(function) not in known:
            self.functions.append((at, function))

    def delete(self, at: int, name: str) -> None:
        """End an attribute of objects or of apertures; all of both, where none is named."""
        self.of_objects.delete(at, name)
        self.of_apertures.delete(at, name)

    def remark(self, remark: Remark, at: int) -> None:
        """Something to be told about a statement."""
        self.remarks.setdefault(remark, []).append(at)
