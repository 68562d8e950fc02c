"""Random macros: every primitive, with values that are plain, parameters, variables or arithmetic."""

from collections.abc import Callable
from dataclasses import dataclass, field

from tests.outside.random_numbers import Choices, Feature

WAYS = ("parameter", "variable", "sum", "difference", "product", "quotient")

OPTIONAL = {
    Feature.MACRO_POLYGON: ("5",),
    Feature.MACRO_THERMAL: ("7",),
    Feature.MACRO_MOIRE: ("6",),
    Feature.MACRO_VECTOR: ("2",),
    Feature.MACRO_LOWER_LEFT: ("22",),
}


def macro_text(choices: Choices, name: str) -> tuple[str, str]:
    """The definition of a macro, and what follows its name where an aperture is made of it."""
    more = [kind for feature, kinds in OPTIONAL.items() if choices.has(feature) for kind in kinds]
    macro = _Macro(choices)
    for k in range(choices.count(1, 4)):
        if choices.may(Feature.COMMENT):
            macro.statements.append("0 a comment")
        cuts = k > 0 and choices.may(Feature.MACRO_CUT)
        macro.primitive(choices.one_of("1", "4", "20", "21", *more), "0" if cuts else "1")
    body = "*\n".join(macro.statements)
    return f"%AM{name}*\n{body}*%", "," + "X".join(macro.parameters) if macro.parameters else ""


@dataclass
class _Macro:
    """Writes the primitives of one macro, and the parameters with which it has to be called."""

    choices: Choices
    parameters: list[str] = field(default_factory=list)
    statements: list[str] = field(default_factory=list)
    variables: int = 0

    def primitive(self, code: str, exposure: str) -> None:
        """One primitive near the origin. The limits are in mm."""
        mm = self.length
        values = {
            "1": lambda: [exposure, mm(0.3, 1.2), *self.centre(), *self.perhaps_turned()],
            "4": lambda: [exposure, *self.outline(), self.angle()],
            "5": lambda: [exposure, f"{self.choices.count(3, 12)}", *self.turned(mm(0.4, 1.5))],
            "6": lambda: self.turned(*self.moire()),
            "7": lambda: self.turned(mm(1.0, 1.8), mm(0.4, 0.8), mm(0.1, 0.25)),
            "20": lambda: [exposure, mm(0.2, 0.6), *self.centre(), mm(0.6, 1.5), mm(-1, 1), self.angle()],
            "21": lambda: [exposure, mm(0.3, 1.5), mm(0.3, 1.5), *self.centre(), self.angle()],
        }
        same: dict[str, Callable[[], list[str]]] = {"2": values["20"], "22": values["21"]}
        self.statements.append(",".join([code, *(values | same)[code]()]))

    def centre(self) -> list[str]:
        return [self.length(-0.6, 0.6), self.length(-0.6, 0.6)]

    def perhaps_turned(self) -> list[str]:
        return [self.angle()] if self.choices.one_of(False, True) else []

    def turned(self, *sizes: str) -> list[str]:
        """Centre, sizes and angle of a primitive for which readers turn different things."""
        if self.choices.has(Feature.OFF_CENTRE):
            return [*self.centre(), *sizes, self.angle()]
        if self.choices.one_of(False, True):
            return ["0", "0", *sizes, self.angle()]
        return [*self.centre(), *sizes, "0"]

    def outline(self) -> list[str]:
        """Number of corners and the corners, the first one again at the end."""
        corners = [
            (self.length(0.2, 0.8), self.length(-0.1, 0.1)),
            (self.length(-0.1, 0.1), self.length(0.2, 0.8)),
            (self.length(-0.8, -0.2), self.length(-0.1, 0.1)),
            (self.length(-0.1, 0.1), self.length(-0.8, -0.2)),
        ][: self.choices.count(3, 4)]
        return [str(len(corners)), *(value for corner in (*corners, corners[0]) for value in corner)]

    def moire(self) -> list[str]:
        """Diameter, thickness of rings and gaps, number of rings, thickness and length of the cross hair."""
        rings = [self.length(1.6, 2.4), self.length(0.1, 0.2), self.length(0.1, 0.2)]
        return [*rings, str(self.choices.count(1, 6)), self.length(0.05, 0.15), self.length(1.6, 3.0)]

    def length(self, low_mm: float, high_mm: float) -> str:
        return self.expression(self.choices.length(low_mm, high_mm), 0)

    def angle(self) -> str:
        return self.expression(self.choices.between(-180, 180), 0)

    def expression(self, value: float, depth: int) -> str:
        """A text that comes to this value, but for rounding that is the same for every reader."""
        way = self.choices.one_of("plain", *self.ways) if depth < 2 else "plain"
        if way == "plain":
            return self.plain(value, depth)
        if way == "parameter":
            self.parameters.append(f"{value:.6f}")
            return f"${len(self.parameters)}"
        if way == "variable":
            text = self.expression(value, depth + 1)  # may need variables that stand before it
            name = f"${self.first_variable + self.variables}"
            self.variables += 1
            self.statements.append(f"{name}={text}")
            return name
        return self.arithmetic(way, value, depth + 1)

    @property
    def ways(self) -> list[str]:
        more = {Feature.MACRO_MINUS: "minus", Feature.MACRO_UNDEFINED: "undefined"}
        ways = [*WAYS] if self.choices.has(Feature.MACRO_ARITHMETIC) else []
        ways += [way for feature, way in more.items() if self.choices.has(feature)]
        taken = {"parameter": len(self.parameters), "variable": self.variables}
        return [way for way in ways if self.choices.has(Feature.MACRO_MANY) or taken.get(way, 0) < 4]

    @property
    def first_variable(self) -> int:
        return 41 if self.choices.has(Feature.MACRO_MANY) else 5

    def plain(self, value: float, depth: int) -> str:
        if depth == 0 or value >= 0:
            return f"{value:.6f}"
        return f"({value:.6f})" if self.choices.has(Feature.MACRO_MINUS) else f"(0-{-value:.6f})"

    def arithmetic(self, way: str, value: float, depth: int) -> str:
        part = round(self.choices.between(0.2, 0.8), 6)
        if way == "sum":
            return f"({self.expression(value - part, depth)}+{part:.6f})"
        if way == "difference":
            return f"({self.expression(value + part, depth)}-{part:.6f})"
        if way == "product":
            return f"{self.expression(value / part, depth)}x{part:.6f}"
        if way == "quotient":
            return f"{self.expression(value * part, depth)}/{part:.6f}"
        if way == "undefined":
            return f"({self.expression(value, depth)}+$99)"
        negated = f"-({self.expression(-value, depth)})"
        return negated if depth == 1 else f"({negated})"
