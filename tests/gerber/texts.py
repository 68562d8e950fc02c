"""Gerber texts made by hypothesis: well-formed, of everything the plain reader knows, in many styles."""

from dataclasses import dataclass, field

from hypothesis import strategies as st

APERTURES = ("%ADD10C,0.5*%", "%ADD11R,0.3X0.8*%", "%ADD12O,0.9X0.4*%", "%ADD13P,1X6*%")
OF_OBJECTS = ("%TO.C,U1*%", "%TO.C,*%", "%TO.P,R2,1*%", "%TO.P,R2,2,A\\u002CB*%", "%TO.N,GND*%", "%TOMine*%")
OF_APERTURES = ("%TA.AperFunction,SMDPad,CuDef*%", "%TA.AperFunction,Material*%", "%TAMine,1*%")
DELETIONS = ("%TD*%", "%TD.C*%", "%TD.P*%", "%TD.AperFunction*%", "%TDMine*%", "%TDOther*%")
STROKABLE = (10, 11, 12, 13)
DISC = 10

_NUMBERS = st.integers(-99_999, 99_999)
_OFFSETS = st.integers(-3000, 3000)


@dataclass
class Writer:
    """Writes statements in one of several styles, and remembers what a reader would have to remember."""

    draw: st.DrawFn
    omits_trailing: bool
    x: int = 0
    y: int = 0
    aperture: int = 0
    mode: int = 1
    quadrant: bool = False
    lines: list[str] = field(default_factory=list)

    def say(self, statement: str) -> None:
        self.lines.append(statement)

    def operation(self, x: int, y: int, code: str, offset: str = "") -> None:
        """One operation; a coordinate that does not change may be left out."""
        words = ""
        if x != self.x or self.draw(st.booleans()):
            words += f"X{self.number(x)}"
        if y != self.y or self.draw(st.booleans()):
            words += f"Y{self.number(y)}"
        self.x, self.y = x, y
        self.say(f"{words}{offset}{code}*")

    def number(self, value: int) -> str:
        """Format 3.4: seven digits, leading or trailing zeros left out."""
        sign = "-" if value < 0 else self.draw(st.sampled_from(("", "+")))
        if self.omits_trailing:
            return sign + (f"{abs(value):07d}".rstrip("0") or "0")
        return sign + (f"{abs(value):07d}" if self.draw(st.booleans()) else str(abs(value)))

    def select(self, wanted: tuple[int, ...]) -> None:
        if self.aperture not in wanted or self.draw(st.booleans()):
            self.aperture = self.draw(st.sampled_from(wanted))
            self.say(self.draw(st.sampled_from(("", "G54"))) + f"D{self.aperture}*")

    def linear(self) -> None:
        if self.mode != 1:
            self.mode = 1
            self.say("G01*")

    def flash(self) -> None:
        self.select((10, 11, 12, 13))
        self.operation(self.draw(_NUMBERS), self.draw(_NUMBERS), "D03")

    def move(self) -> None:
        self.operation(self.draw(_NUMBERS), self.draw(_NUMBERS), "D02")

    def stroke(self) -> None:
        self.select(STROKABLE)
        self.linear()
        self.operation(self.draw(_NUMBERS), self.draw(_NUMBERS), "D01")

    def arc_stroke(self) -> None:
        self.select((DISC,))
        self.arc(self.draw(st.integers(0, 3)))

    def arc(self, quarters: int) -> None:
        """An arc of some quarter turns; 0 is a full circle, or nothing but a dot in single-quadrant mode."""
        turn = self.draw(st.sampled_from((2, 3)))
        quadrant = self.draw(st.booleans())
        if quadrant != self.quadrant:
            self.quadrant = quadrant
            self.say("G74*" if quadrant else "G75*")
        i, j = self.draw(_OFFSETS), self.draw(_OFFSETS.filter(bool))
        x, y = -i, -j
        for _ in range(min(quarters, 1) if quadrant else quarters):
            x, y = (-y, x) if turn == 3 else (y, -x)
        offset = f"I{self.number(abs(i) if quadrant else i)}J{self.number(abs(j) if quadrant else j)}"
        prefix = f"G{turn:02d}"
        if turn == self.mode and self.draw(st.booleans()):
            prefix = ""
        elif self.draw(st.booleans()):
            self.say(f"{prefix}*")
            prefix = ""
        self.mode = turn
        if prefix:
            self.say(f"{prefix}X{self.number(self.x + i + x)}Y{self.number(self.y + j + y)}{offset}D01*")
            self.x, self.y = self.x + i + x, self.y + j + y
        else:
            self.operation(self.x + i + x, self.y + j + y, "D01", offset)

    def region(self) -> None:
        self.say("G36*")
        for _ in range(self.draw(st.integers(1, 3))):
            self.move()
            begin = self.x, self.y
            for _ in range(self.draw(st.integers(2, 4))):
                if self.draw(st.booleans()):
                    self.arc(self.draw(st.integers(1, 3)))
                else:
                    self.linear()
                    self.operation(self.x + 1 + self.draw(st.integers(0, 999)), self.draw(_NUMBERS), "D01")
            self.linear()
            self.operation(*begin, "D01")
        self.say("G37*")

    def polarity(self) -> None:
        self.say(self.draw(st.sampled_from(("%LPC*%", "%LPD*%"))))

    def label(self) -> None:
        named = (*OF_OBJECTS, *OF_APERTURES, *DELETIONS, "G04 a comment*")
        for one in self.draw(st.lists(st.sampled_from(named), min_size=1, max_size=3)):
            self.say(one)

    def apertures(self) -> None:
        for definition in APERTURES:
            self.say(self.draw(st.sampled_from((*OF_APERTURES, *DELETIONS, "G04 a comment*"))))
            self.say(definition)

    def repeat(self) -> None:
        nx, ny, dx, dy = (self.draw(st.integers(1, 3)) for _ in range(4))
        self.say(self.draw(st.sampled_from((f"%SRX{nx}Y{ny}I{dx}.5J{dy}.25*%", "%SR*%"))))


@st.composite
def texts(draw: st.DrawFn) -> str:
    """Texts that both readers must understand alike, format 3.4 or 2.4 in millimetres or inches."""
    writer = Writer(draw, omits_trailing=draw(st.booleans()))
    omission = "T" if writer.omits_trailing else "L"
    writer.say(draw(st.sampled_from(("%MOMM*%", "%MOIN*%"))))
    writer.say(f"%FS{omission}AX34Y34*%")
    writer.apertures()
    things = ("flash", "stroke", "arc_stroke", "region", "move", "polarity", "label", "repeat")
    for thing in draw(st.lists(st.sampled_from(things), max_size=20)):
        getattr(writer, thing)()
    writer.say("%SR*%")
    writer.say("M02*")
    return draw(st.sampled_from(("\n", "\r\n", ""))).join(writer.lines)
