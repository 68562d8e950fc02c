"""
Random layers for every reader that ours is held against: one writer, whose features are switched on and off.

Whatever it writes is valid, or is a construct that the specification calls deprecated and that stands in
layers of every age. Places and sizes are never equal by chance, so that few things touch by a hair, and they
shrink towards the smallest ones: a failing layer comes down to the few statements that matter.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from hypothesis import strategies as st

from tests.outside.macro_writer import macro_text
from tests.outside.random_numbers import EVERYTHING, TURNS, Choices, Feature

LAST_PLACE = (9.2, 9.3)
"""Something dark lies there that nothing clears, so that there always is an opening."""


@dataclass
class Pen(Choices):
    """Writes statements, and remembers what a reader has to remember."""

    decimals: int = 6
    trailing: bool = False
    lines: list[str] = field(default_factory=list)
    here: tuple[int, int] | None = None
    """The current point, or None where it is not defined."""
    code: int = 9
    mode: int = 1
    multi: bool = True
    operation: int = 0
    turned: bool = False
    """Whether apertures are mirrored, turned or scaled."""
    depth: int = 0
    blocks: list[int] = field(default_factory=list)

    # ------------------------------------------------------------------------------------- words and state

    def place(self) -> tuple[int, int]:
        """A point in steps of the format."""
        x = self.between(-6, 6)
        return self.steps(x), self.steps(self.between(-6, 6))

    def steps(self, length_mm: float) -> int:
        return round(length_mm / self.unit_mm * float(10**self.decimals))

    def number(self, steps: int) -> str:
        """A coordinate with three integer digits, zeros left out on the side that the format says."""
        sign = "-" if steps < 0 else "+" if self.may(Feature.SHORT_CODE) else ""
        if self.trailing:
            return sign + (f"{abs(steps):0{3 + self.decimals}d}".rstrip("0") or "0")
        return sign + str(abs(steps))

    def say(self, *lines: str) -> None:
        self.lines += lines

    def code_of(self, letter: str, code: int) -> str:
        return f"{letter}{code}" if self.may(Feature.SHORT_CODE) else f"{letter}{code:02d}"

    def operate(self, x: int, y: int, operation: int, offset: str = "", prefix: str = "") -> None:
        """One operation, in one of the ways in which it may be written."""
        before, self.here = self.here, (x, y)
        modal = before is not None and self.may(Feature.MODAL_COORDINATE)
        words = "" if modal and before and before[0] == x else f"X{self.number(x)}"
        words += "" if modal and before and before[1] == y else f"Y{self.number(y)}"
        code = self.code_of("D", operation)
        if operation == 1 == self.operation and words and self.may(Feature.MODAL_OPERATION):
            code = ""
        self.operation = operation
        self.say(f"{prefix}{words}{offset}{code}*")

    def along(self, mode: int) -> str:
        """G01, G02 or G03 where it is needed, as a statement or as the beginning of the next one."""
        if mode == self.mode and self.draw(st.booleans()):
            return ""
        self.mode = mode
        code = self.code_of("G", mode)
        if mode > 1 or self.may(Feature.JOINED):
            return code
        self.say(f"{code}*")
        return ""

    def line_to(self, x: int, y: int) -> None:
        prefix = self.along(1)
        self.operate(x, y, 1, prefix=prefix)

    def move(self, x: int, y: int) -> None:
        self.operate(x, y, 2)

    def neutral(self) -> None:
        """Dark and untransformed, as for what must stay as it was defined."""
        self.say("%LPD*%")
        if self.turned:
            self.turned = False
            self.say("%LMN*%", "%LR0*%", "%LS1*%")

    def aperture(self, definition: str, *, flashed: bool = True) -> None:
        self.code += 1
        self.say(f"%ADD{self.code}{definition}*%")
        self.select(self.code)
        if flashed:
            for _ in range(self.count(1, 3)):
                self.operate(*self.place(), 3)

    def select(self, code: int) -> None:
        self.say(f"{'G54' if self.may(Feature.LEGACY) else ''}D{code}*")

    # --------------------------------------------------------------------------------------- what is drawn

    def circle(self) -> None:
        self.aperture("C," + self.with_hole(self.size()))

    def rectangle(self) -> None:
        self.aperture("R," + self.with_hole(f"{self.size()}X{self.size()}"))

    def obround(self) -> None:
        self.aperture("O," + self.with_hole(f"{self.size()}X{self.size()}"))

    def polygon(self) -> None:
        corners = f"{self.size(0.6)}X{self.count(3, 12)}"
        if self.may(Feature.TURNED_POLYGON):
            self.aperture("P," + self.with_hole(f"{corners}X{self.between(-180, 180):.4f}"))
        else:
            self.aperture(f"P,{corners}")

    def with_hole(self, sizes: str) -> str:
        if self.may(Feature.RECTANGULAR_HOLE):
            return f"{sizes}X{self.size(0.1, 0.2)}X{self.size(0.1, 0.2)}"
        return f"{sizes}X{self.size(0.1, 0.25)}" if self.may(Feature.HOLE) else sizes

    def nothing(self) -> None:
        self.aperture("C,0", flashed=self.draw(st.booleans()))

    def macro(self) -> None:
        definition, parameters = macro_text(self, f"M{self.code}")
        self.say(definition)
        self.aperture(f"M{self.code}{parameters}")

    def pen(self, *, round_only: bool) -> None:
        """Choose a pen."""
        if self.turned and not self.has(Feature.TURNED_PEN):
            self.neutral()
        kinds = ["C"]
        if not round_only:
            kinds += ["R"] if self.has(Feature.RECTANGULAR_PEN) else []
            kinds += ["O", "P"] if self.has(Feature.CONVEX_PEN) else []
        kind = self.one_of(*kinds)
        more = {"C": "", "P": f"X{self.count(3, 8)}"}.get(kind, f"X{self.size(0.15, 0.6)}")
        self.aperture(f"{kind},{self.size(0.15, 0.6)}{more}", flashed=False)

    def stroke(self) -> None:
        self.pen(round_only=False)
        x, y = self.place()
        self.move(x, y)
        for _ in range(self.count(1, 3)):
            there = self.place()
            x, y = (x, there[1]) if self.may(Feature.MODAL_COORDINATE) else there
            self.line_to(x, y)

    def arc_stroke(self) -> None:
        self.pen(round_only=True)
        self.move(*self.place())
        self.arc()

    def arc(self) -> None:
        """An arc from the current point: of any angle where places are fine enough, else of quarter turns."""
        i, j = self.offset()
        turn = -1 if self.draw(st.booleans()) else 1
        quadrant = self.may(Feature.QUADRANT) and self.fine
        if quadrant == self.multi:
            self.multi = not quadrant
            self.say("G74*" if quadrant else "G75*")
        if self.fine:
            angle = turn * (self.between(0.2, 1.4) if quadrant else self.between(0.3, 6.0))
            cosine, sine = np.cos(angle), np.sin(angle)
        else:
            cosine, sine = ((0, turn), (-1, 0), (0, -turn))[self.count(0, 2)]
        x, y = i - cosine * i + sine * j, j - sine * i - cosine * j
        if not quadrant and self.may(Feature.FULL_CIRCLE):
            x, y = 0, 0
        prefix = self.along(3 if turn > 0 else 2)
        assert self.here
        offsets = (abs(i), abs(j)) if quadrant else (i, j)
        self.operate(
            self.here[0] + round(float(x)),
            self.here[1] + round(float(y)),
            1,
            f"I{self.number(offsets[0])}J{self.number(offsets[1])}",
            prefix,
        )

    @property
    def fine(self) -> bool:
        """Whether rounding the ends of an arc leaves its radius alone."""
        return self.decimals >= 5

    def offset(self) -> tuple[int, int]:
        """From the start of an arc to its centre: 0.4 to 1.5 mm, no part of it zero."""
        radius, angle = self.between(0.4, 1.5), self.between(0.1, 1.4) + self.count(0, 3) * np.pi / 2
        return self.steps(radius * float(np.cos(angle))), self.steps(radius * float(np.sin(angle)))

    def region(self) -> None:
        self.say("G36*")
        kinds = [self.star]
        kinds += [self.sector] if self.has(Feature.REGION_ARC) else []
        kinds += [self.cut_in] if self.has(Feature.CUT_IN) else []
        for _ in range(self.count(1, 2)):
            self.one_of(*kinds)()
        self.say("G37*")

    def star(self) -> None:
        """A polygon that is seen whole from its centre."""
        x, y = self.place()
        corners = self.count(3, 6)
        points = []
        for k in range(corners):
            angle, reach = (k + self.between(0.1, 0.6)) * 2 * np.pi / corners, self.between(0.4, 1.2)
            points.append((x + self.steps(reach * np.cos(angle)), y + self.steps(reach * np.sin(angle))))
        self.outline(points)

    def outline(self, points: list[tuple[int, int]]) -> None:
        self.move(*points[0])
        for point in (*points[1:], points[0]):
            self.line_to(*point)

    def sector(self) -> None:
        """An arc, closed by a straight edge."""
        self.move(*self.place())
        begin = self.here
        self.arc()
        assert begin
        if self.here != begin:
            self.line_to(*begin)

    def cut_in(self) -> None:
        """A square with a square hole, in one contour that runs along a horizontal edge twice."""
        x, y = self.place()
        outer, inner = self.steps(self.between(0.5, 1.0)), self.steps(self.between(0.2, 0.4))
        square = [(-1, 0), (-1, -1), (1, -1), (1, 1), (-1, 1), (-1, 0)]
        hole = [(-1, 0), (-1, 1), (1, 1), (1, -1), (-1, -1), (-1, 0)]
        points = [(x + i * outer, y + j * outer) for i, j in square]
        points += [(x + i * inner, y + j * inner) for i, j in hole]
        self.outline(points)

    # ------------------------------------------------------------------------------ how things are drawn

    def polarity(self) -> None:
        self.say(self.one_of("%LPD*%", "%LPC*%"))

    def transform(self) -> None:
        self.turned = True
        if self.has(Feature.MIRROR):
            self.say(f"%LM{self.one_of('N', 'X', 'Y', 'XY')}*%")
        if self.has(Feature.ROTATE):
            self.say(f"%LR{self.between(-180, 180):.4f}*%")
        if self.has(Feature.SCALE):
            self.say(f"%LS{self.between(0.5, 1.5):.4f}*%")

    def repeat(self) -> None:
        nx, ny = self.count(1, 3), self.count(1, 3)
        self.say(f"%SRX{nx}Y{ny}I{self.size(0.3, 2)}J{self.size(0.3, 2)}*%")
        self.some(inside_repeat=True)
        if not self.has(Feature.REPEAT_FROM_ANYWHERE):
            self.move(0, 0)
        self.say("%SR*%")
        self.here = None  # not defined behind it

    def block(self) -> None:
        self.neutral()
        self.code += 1
        code = self.code
        self.depth += 1
        self.say(f"%ABD{code}*%")
        self.here = None
        self.some()
        self.neutral()
        self.say("%AB*%")
        self.depth -= 1
        self.here = None
        self.blocks.append(code)
        self.flash_block()

    def flash_block(self) -> None:
        if not self.has(Feature.TURNED_BLOCK):
            self.neutral()
        self.say(self.one_of("%LPD*%", "%LPC*%") if self.has(Feature.CLEAR_BLOCK) else "%LPD*%")
        self.select(self.one_of(*self.blocks))
        for _ in range(self.count(1, 2)):
            self.operate(*self.place(), 3)

    def comment(self) -> None:
        said = ("G04 a comment, X1Y1D03 of no effect*", "%TO.C,R1*%", "%TD*%", "%TA.AperFunction,Material*%")
        self.say(self.one_of(*said))

    # -------------------------------------------------------------------------------------- whole layers

    def things(self, *, inside_repeat: bool) -> list[Callable[[], None]]:
        """What may come next."""
        often = 3 if inside_repeat or self.depth else 1  # so that the order of copies matters
        turns = self.has(Feature.TURNED_BLOCK) if self.depth else self.features & TURNS
        optional = [
            *[(self.has(Feature.CLEAR_BLOCK if self.depth else Feature.CLEAR), self.polarity)] * often,
            (self.has(Feature.ZERO_SIZE), self.nothing),
            (self.has(Feature.MACRO), self.macro),
            (self.has(Feature.ARC), self.arc_stroke),
            (turns, self.transform),
            (self.has(Feature.REPEAT) and not inside_repeat and not self.depth, self.repeat),
            (self.has(Feature.BLOCK) and not inside_repeat and self.depth < 3, self.block),
            (self.blocks, self.flash_block),
            (self.has(Feature.COMMENT), self.comment),
        ]
        always = [self.circle, self.rectangle, self.obround, self.polygon, self.stroke, self.region]
        rare = [thing for possible, thing in optional if possible]
        return [*always, *rare, *rare]

    def some(self, *, inside_repeat: bool = False) -> None:
        """Some things; fewer within others."""
        nested = inside_repeat or self.depth
        for _ in range(self.count(1, 5 if nested else 12)):
            self.one_of(*self.things(inside_repeat=inside_repeat))()

    def header(self) -> None:
        inches = self.may(Feature.INCHES)
        self.unit_mm = 25.4 if inches else 1.0
        self.decimals = self.count(4 if inches else 3, 5) if self.may(Feature.FEW_DECIMALS) else 6
        self.trailing = self.may(Feature.TRAILING)
        omission, digits = "T" if self.trailing else "L", f"3{self.decimals}"
        self.say(f"%FS{omission}AX{digits}Y{digits}*%", "%MOIN*%" if inches else "%MOMM*%")
        if self.may(Feature.LEGACY):
            self.say("%INA NAME*%", "%ASAXBY*%", "%IPPOS*%", "%OFA0B0*%", "%SFA1B1*%", "%MIA0B0*%", "%IR0*%")
            self.say("G70*" if inches else "G71*", "G90*", "%LNANOTHER*%")
        self.say("G75*")

    def footer(self) -> None:
        self.neutral()
        x, y = LAST_PLACE
        self.code += 1
        self.say(f"%ADD{self.code}C,{2 / self.unit_mm:.6f}*%")
        self.select(self.code)
        self.operate(self.steps(x), self.steps(y), 3)
        self.say("M02*")

    def text(self) -> str:
        text = _in_shared_blocks(self.lines) if self.may(Feature.SHARED_BLOCK) else "\n".join(self.lines)
        end = self.one_of("\n", "\r\n", "\r", "") if self.may(Feature.STYLE) else "\n"
        return f"{text}\n".replace("\n", end)


def _in_shared_blocks(lines: list[str]) -> str:
    """Neighbouring commands between one pair of percent signs, except macros, which have to stand alone."""
    text = lines[0]
    for before, line in pairwise(lines):
        joins = before[0] == line[0] == "%" and "%AM" not in (before[:3], line[:3])
        text = f"{text[:-1]}\n{line[1:]}" if joins else f"{text}\n{line}"
    return text


@st.composite
def layers(draw: st.DrawFn, features: frozenset[Feature] = EVERYTHING) -> str:
    """A valid layer of these features, with at least one opening."""
    pen = Pen(draw, features)
    pen.header()
    pen.some()
    pen.footer()
    return pen.text()
