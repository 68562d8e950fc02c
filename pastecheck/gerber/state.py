"""What the statements that are no coordinates say: the rare half of the graphics state."""

from dataclasses import dataclass, field
from typing import NamedTuple

from pastecheck.gerber.apertures import Definition, Transform
from pastecheck.gerber.attributes import Component
from pastecheck.gerber.codes import Remark
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


@dataclass(slots=True)
class State:
    """Histories hold the statement from which a value holds; remarks the statements they are about."""

    format: Format | None = None
    format_at: int = -1
    inches: bool | None = None
    units_at: int = -1
    function: str = ""
    definitions: dict[int, Definition] = field(default_factory=dict)
    macros: dict[str, Macro] = field(default_factory=dict)
    blocks: dict[int, int] = field(default_factory=dict)
    """Where each block is begun, by its aperture number."""
    polarity: list[tuple[int, bool]] = field(default_factory=list)
    transform: list[tuple[int, Transform]] = field(default_factory=list)
    component: Component = field(default_factory=Component)
    label: list[tuple[int, str]] = field(default_factory=list)
    brackets: list[Bracket] = field(default_factory=list)
    remarks: dict[Remark, list[int]] = field(default_factory=dict)

    def remark(self, remark: Remark, at: int) -> None:
        """Something to be told about a statement."""
        self.remarks.setdefault(remark, []).append(at)
