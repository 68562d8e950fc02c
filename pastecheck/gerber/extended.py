"""
Everything that is no coordinate: extended commands, comments and attributes, in order.

Each distinct text is understood once; what it does to the graphics state is remembered with the statement it
stands in, so that the state of every object can be looked up.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final, NamedTuple

from pastecheck.errors import GerberSyntaxError, GerberUnsupportedError
from pastecheck.gerber.apertures import STANDARD_TEMPLATES, Definition, Transform
from pastecheck.gerber.attributes import Attribute, attribute_of, component_of
from pastecheck.gerber.lexer import Statements, decoded
from pastecheck.gerber.macros import Macro, MacroError, macro

_EXPORT = "export the layer with current settings of the CAD program"

_FORMAT = re.compile(r"FS([LTD]?)([AI]?)(?:N\d)?(?:G\d)?X(\d)(\d)Y(\d)(\d)(?:D\d)?(?:M\d)?")
_APERTURE = re.compile(r"ADD(\d+)([A-Za-z_.$][A-Za-z0-9_.$\-]*)(?:,(.*))?", re.DOTALL)
_REPEAT = re.compile(r"SR(?:X(\d+)Y(\d+)I([+-]?\d*\.?\d*)J([+-]?\d*\.?\d*))?")
_COMMENT = re.compile(rb"G0?4", re.IGNORECASE)
_ATTRIBUTE_COMMENT = re.compile(r"[gG]0?4\s*#@!\s*(T[FAOD].*)", re.DOTALL)
_NUMBER = r"[+-]?\d*\.?\d*"
_HARMLESS: Final = (
    re.compile(r"(IN|LN).*", re.DOTALL),
    re.compile(r"IC.*|IO.*|PF.*|IPPOS|ASAXBY|IR0*|MI(A0)?(B0)?"),
    re.compile(r"OF(A[+-]?0*\.?0*)?(B[+-]?0*\.?0*)?"),
    re.compile(r"SF(A1\.?0*)?(B1\.?0*)?"),
)
_CHANGES_THE_IMAGE: Final = re.compile(r"AS|IR|MI|OF|SF|IP|KO|IJ")
_LEGACY: Final = ("AS", "IC", "IJ", "IO", "IN", "IP", "IR", "KO", "LN", "MI", "OF", "PF", "SF")


class Format(NamedTuple):
    """How coordinates are written."""

    omits_trailing: bool
    integers: int
    decimals: int


class Opening(NamedTuple):
    """A step-and-repeat or block that begins or ends here."""

    statement: int
    what: str
    """`repeat`, `block` or `end`."""
    number: int = 0
    """The block's aperture number."""
    across: int = 1
    up: int = 1
    step_x: float = 0.0
    step_y: float = 0.0


@dataclass(slots=True)
class State:
    """What the extended commands of a file say. Histories hold the statement from which a value holds."""

    format: Format | None = None
    inches: bool | None = None
    function: str = ""
    definitions: dict[int, Definition] = field(default_factory=dict)
    macros: dict[str, Macro] = field(default_factory=dict)
    polarity: list[tuple[int, bool]] = field(default_factory=list)
    transform: list[tuple[int, Transform]] = field(default_factory=list)
    label: list[tuple[int, str]] = field(default_factory=list)
    brackets: list[Opening] = field(default_factory=list)
    legacy: dict[str, list[int]] = field(default_factory=dict)
    format_at: int = -1
    units_at: int = -1


Effect = Callable[[State, int], None]


def state_of(statements: Statements, rare: list[int]) -> State:
    """
    Go through all statements that are not plain.

    Raises:
        GerberSyntaxError: If a statement is unknown or malformed.
        GerberUnsupportedError: If a statement changes the image in a way that is not read.
    """
    state = State()
    known: dict[bytes, Effect] = {}
    text, start, end, block = statements.text, statements.start, statements.end, statements.block
    macro_block = 0
    spaced = statements.offset(end[rare]) - statements.offset(start[rare]) != end[rare] - start[rare]
    columns = (rare, start[rare].tolist(), end[rare].tolist(), block[rare].tolist(), spaced.tolist())
    for at, begin, stop, number, has_space in zip(*columns, strict=True):
        raw = text[begin:stop]
        if number and number == macro_block:
            continue
        if number and raw[:2] in (b"AM", b"am"):
            macro_block = number
            _define_macro(state, statements, at)
            continue
        effect = None if has_space else known.get(raw)
        if effect is None:
            effect = _understood(statements, at, raw, extended=bool(number))
            if not has_space:  # texts that differ in their spaces only are not the same
                known[raw] = effect
        effect(state, at)
    return state


def _understood(statements: Statements, at: int, raw: bytes, *, extended: bool) -> Effect:
    if not extended:
        if _COMMENT.match(raw):
            return _comment(statements, at)
        if not raw:
            return _nothing
        raise GerberSyntaxError(
            f"unknown statement {decoded(raw[:40])!r}",
            statements.span(at),
            f"the file is damaged here, or {_EXPORT}",
        )
    text = decoded(raw)
    for prefix, meaning in _MEANINGS.items():
        if text.startswith(prefix):
            return meaning(statements, at, text)
    code = text[:2].upper()
    if any(pattern.fullmatch(text) for pattern in _HARMLESS):
        return _legacy(code)
    if _CHANGES_THE_IMAGE.match(text):
        raise GerberUnsupportedError(
            f"{text[:40]} transforms the whole image, which is not read", statements.span(at), _EXPORT
        )
    raise GerberSyntaxError(f"unknown command {text[:40]!r}", statements.span(at), _EXPORT)


def _nothing(_state: State, _at: int) -> None:
    """An empty statement."""


def _legacy(code: str) -> Effect:
    def note(state: State, at: int) -> None:
        state.legacy.setdefault(code, []).append(at)

    return note


def _comment(statements: Statements, at: int) -> Effect:
    found = _ATTRIBUTE_COMMENT.match(statements.original(at))
    return _attribute(attribute_of(found[1])) if found else _nothing


def _attribute(attribute: Attribute) -> Effect:
    def effect(state: State, at: int) -> None:
        if attribute.kind == "TF" and attribute.name == ".FileFunction" and not state.function:
            state.function = ",".join(attribute.values)
        component = component_of(attribute)
        if component is not None:
            state.label.append((at, component))

    return effect


def _attribute_command(statements: Statements, at: int, _text: str) -> Effect:
    return _attribute(attribute_of(statements.original(at)))


def _format(statements: Statements, at: int, text: str) -> Effect:
    found = _FORMAT.fullmatch(text)
    if not found:
        raise GerberSyntaxError(f"cannot read the format {text[:40]!r}", statements.span(at), _EXPORT)
    if found[2] == "I":
        raise GerberUnsupportedError("incremental coordinates are not read", statements.span(at), _EXPORT)
    if found[3] != found[5] or found[4] != found[6]:
        raise GerberUnsupportedError("x and y are written in different formats", statements.span(at), _EXPORT)
    format_ = Format(found[1] == "T", int(found[3]), int(found[4]))

    def effect(state: State, at: int) -> None:
        if state.format not in (None, format_):
            raise GerberSyntaxError("the format is given twice and differs", statements.span(at), _EXPORT)
        if state.format is None:
            state.format, state.format_at = format_, at
        if format_.omits_trailing:
            _legacy("FST")(state, at)

    return effect


def _mode(statements: Statements, at: int, text: str) -> Effect:
    if text not in ("MOMM", "MOIN"):
        raise GerberSyntaxError(f"unknown unit {text[2:20]!r}", statements.span(at), "it is MOMM or MOIN")
    inches = text == "MOIN"

    def effect(state: State, at: int) -> None:
        if state.inches not in (None, inches):
            raise GerberSyntaxError("the unit is given twice and differs", statements.span(at), _EXPORT)
        if state.inches is None:
            state.inches, state.units_at = inches, at

    return effect


def _polarity(statements: Statements, at: int, text: str) -> Effect:
    if text not in ("LPD", "LPC"):
        raise GerberSyntaxError(f"unknown polarity {text[2:20]!r}", statements.span(at), "it is LPD or LPC")
    return lambda state, at: state.polarity.append((at, text == "LPD"))


def _transform(statements: Statements, at: int, text: str) -> Effect:
    kind, value = text[1], text[2:]
    if kind == "M" and value in ("N", "X", "Y", "XY"):
        change: dict[str, str | float] = {"mirror": value}
    elif kind in "RS" and re.fullmatch(_NUMBER, value) and re.search(r"\d", value):
        change = {"degrees" if kind == "R" else "scale": float(value)}
    else:
        raise GerberSyntaxError(f"cannot read {text[:40]!r}", statements.span(at), _EXPORT)
    if kind == "S" and float(value) <= 0:
        raise GerberSyntaxError("a scale is positive", statements.span(at), _EXPORT)

    def effect(state: State, at: int) -> None:
        before = state.transform[-1][1] if state.transform else Transform()
        state.transform.append((at, before._replace(**change)))  # type: ignore[arg-type]

    return effect


def _aperture(statements: Statements, at: int, text: str) -> Effect:
    found = _APERTURE.fullmatch(text)
    if not found or int(found[1]) < 10:
        raise GerberSyntaxError(f"cannot read the aperture {text[:40]!r}", statements.span(at), _EXPORT)
    number, template = int(found[1]), found[2]
    try:
        parameters = tuple(float(value) for value in found[3].split("X")) if found[3] else ()
    except ValueError:
        raise GerberSyntaxError(
            f"an aperture size in {text[:60]!r} is no number", statements.span(at), _EXPORT
        ) from None

    def effect(state: State, at: int) -> None:
        if template not in STANDARD_TEMPLATES and template not in state.macros:
            raise GerberSyntaxError(
                f"aperture macro {template!r} is not defined", statements.span(at), _EXPORT
            )
        definition = Definition(number, template, parameters, state.macros.get(template), at)
        before = state.definitions.setdefault(number, definition)
        if before._replace(statement=at) != definition:
            raise GerberUnsupportedError(
                f"aperture D{number} is defined twice and differs", statements.span(at), _EXPORT
            )

    return effect


def _define_macro(state: State, statements: Statements, at: int) -> None:
    number = int(statements.block[at])
    last = at
    while last + 1 < len(statements) and statements.block[last + 1] == number:
        last += 1
    name, *body = (
        decoded(statements.text[int(statements.start[k]) : int(statements.end[k])])
        for k in range(at, last + 1)
    )
    name = name[2:]
    if name in state.macros or name in STANDARD_TEMPLATES or not name:
        raise GerberSyntaxError(
            f"aperture macro {name!r} is defined twice, or has no name", statements.span(at), _EXPORT
        )
    try:
        state.macros[name] = macro(name, body)
    except MacroError as error:
        raise GerberSyntaxError(str(error), statements.span(at), _EXPORT) from None


def _repeat(statements: Statements, at: int, text: str) -> Effect:
    found = _REPEAT.fullmatch(text)
    if not found:
        raise GerberSyntaxError(
            f"cannot read the step and repeat {text[:40]!r}", statements.span(at), _EXPORT
        )
    if found[1] is None:
        return lambda state, at: state.brackets.append(Opening(at, "end repeat"))
    across, up, step_x, step_y = int(found[1]), int(found[2]), float(found[3] or 0), float(found[4] or 0)
    if not across or not up:
        raise GerberSyntaxError("step and repeat counts from 1", statements.span(at), _EXPORT)
    return lambda state, at: state.brackets.append(Opening(at, "repeat", 0, across, up, step_x, step_y))


def _block(statements: Statements, at: int, text: str) -> Effect:
    if text == "AB":
        return lambda state, at: state.brackets.append(Opening(at, "end block"))
    if not re.fullmatch(r"ABD\d{2,9}", text) or int(text[3:]) < 10:
        raise GerberSyntaxError(f"cannot read the block aperture {text[:40]!r}", statements.span(at), _EXPORT)
    number = int(text[3:])
    return lambda state, at: state.brackets.append(Opening(at, "block", number))


_MEANINGS: Final[dict[str, Callable[[Statements, int, str], Effect]]] = {
    "FS": _format,
    "MO": _mode,
    "LP": _polarity,
    "LM": _transform,
    "LR": _transform,
    "LS": _transform,
    "ADD": _aperture,
    "SR": _repeat,
    "AB": _block,
    "TF": _attribute_command,
    "TA": _attribute_command,
    "TO": _attribute_command,
    "TD": _attribute_command,
}
