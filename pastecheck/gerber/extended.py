"""
Everything that is no coordinate: extended commands, comments and attributes, in order.

Each distinct text is understood once; what it does to the graphics state is remembered with the statement it
stands in, so that the state of every object can be looked up.
"""

import re
from collections.abc import Callable, Iterator
from typing import Final, TypeAlias

from pastecheck.drawing import Attribute
from pastecheck.errors import GerberSyntaxError, GerberUnsupportedError
from pastecheck.gerber.apertures import RECTANGULAR_HOLE_SIZES, STANDARD_TEMPLATES, Definition, Transform
from pastecheck.gerber.attributes import COMMENT, SOURCE_STEP, attribute_of, source_step_mm
from pastecheck.gerber.codes import (
    BAD_APERTURE,
    CONTRADICTION,
    DAMAGED,
    EXPORT_AGAIN,
    EXTRA_VALUES,
    IMAGE_TRANSFORM,
    MALFORMED_STATEMENT,
    NO_ROTATION,
    REDEFINED_APERTURE,
    UNKNOWN_STATEMENT,
    Remark,
    legacy,
    told,
    unknown,
)
from pastecheck.gerber.image_commands import IMAGE_COMMANDS, image_change
from pastecheck.gerber.in_force import InForce
from pastecheck.gerber.lexer import BLANKS, Statements, decoded
from pastecheck.gerber.macro_statements import define_macro
from pastecheck.gerber.state import Bracket, Format, State
from pastecheck.limits import Limits
from pastecheck.units import quoted

_MOST_DIGITS: Final = 7
_MOST_SCALE: Final = 1000.0
_NUMBER: Final = r"[+-]?(?:\d+\.?\d*|\.\d+)"
_ZERO: Final = r"[+-]?0*\.?0*"
_ONE: Final = r"\+?0*1(?:\.0*)?"
_FORMAT: Final = re.compile(r"FS([LTD]?)([AI]?)(?:N\d)?(?:G\d)?X(\d)(\d)Y(\d)(\d)(?:D\d)?(?:M\d)?")
_APERTURE: Final = re.compile(r"AD[Dd](\d{1,10})([^\d,][^,]*)(?:,(.*))?", re.DOTALL)
_SIZES: Final = re.compile(rf"{_NUMBER}(?:X{_NUMBER})*")
_REPEAT: Final = re.compile(rf"SR(?:X(\d{{1,10}}))?(?:Y(\d{{1,10}}))?(?:I({_NUMBER}))?(?:J({_NUMBER}))?")
_COMMENT: Final = re.compile(COMMENT.encode())
_WITH_POINTS: Final = re.compile(rb"\s*(?:[GXYIJDMN]\s*[+-]?[\d.][\d.\s]*)+", re.IGNORECASE)
_ATTRIBUTE_COMMENT: Final = re.compile(rf"{COMMENT}\s*#@!\s*(T[FAOD].*)", re.DOTALL)
_ATTRIBUTES: Final = frozenset({"TF", "TA", "TO", "TD"})
_WITHOUT_EFFECT: Final = {
    "IC": r".*",
    "IN": r".*",
    "IO": rf"(A{_ZERO})?(B{_ZERO})?",
    "IP": r"POS",
    "KO": r"",
    "LN": r".*",
    "PF": r".*",
    "SF": rf"(A{_ONE})?(B{_ONE})?",
}
"""Deprecated commands, and the values with which they leave the image as it is."""
_CHANGES_THE_IMAGE: Final = frozenset({"IF", "IJ"})
"""Deprecated commands that are never without effect: another file is included, the image is moved."""

Effect: TypeAlias = Callable[[State, int], None]
"""What a statement does to the state; the number is the statement's."""


def state_of(statements: Statements, rare: list[int], limits: Limits) -> State:
    """
    Go through all statements that are not plain.

    Raises:
        GerberSyntaxError: If a statement is unknown or malformed.
        GerberUnsupportedError: If a statement changes the image in a way that is not read.
    """
    of_objects, of_apertures = (InForce(statements, limits.attributes) for _ in range(2))
    state = State(of_objects, of_apertures)
    outside: dict[bytes, Effect] = {}
    within: dict[bytes, Effect] = {}
    begin = statements.offset(statements.start[rare]).tolist()
    end = statements.offset(statements.end[rare]).tolist()
    macro_end = -1
    for at, number, first, last in zip(rare, statements.block[rare].tolist(), begin, end, strict=True):
        if at <= macro_end:
            continue  # belongs to the macro
        raw = statements.data[first:last]
        if number and raw[:2].upper() == b"AM":
            macro_end = define_macro(state, statements, at, limits.macro_statements)
            continue
        known, understood = (within, _command) if number else (outside, _comment)
        effect = known.get(raw)
        if effect is None:
            effect = known[raw] = understood(statements, at, raw)
        effect(state, at)
    return state


def _nothing(_state: State, _at: int) -> None:
    """Nothing changes."""


def _without_blanks(raw: bytes) -> str:
    return decoded(raw.translate(None, BLANKS))


def _syntax(what: str, statements: Statements, at: int, code: str) -> GerberSyntaxError:
    return GerberSyntaxError(what, statements.span(at), EXPORT_AGAIN, code)


def _malformed(what: str, text: str, statements: Statements, at: int) -> GerberSyntaxError:
    return _syntax(f"cannot read the {what} {quoted(text)}", statements, at, MALFORMED_STATEMENT)


# --------------------------------------------------------------------------------- comments, attributes


def _comment(statements: Statements, at: int, raw: bytes) -> Effect:
    """What an odd statement outside percent signs does: a comment may hold an attribute."""
    if not raw:
        return _nothing
    if not _COMMENT.match(raw):
        raise _not_plain(raw, statements, at)
    found = _ATTRIBUTE_COMMENT.match(decoded(raw))
    return _attribute(attribute_of(found[1].strip())) if found else _nothing


def _not_plain(raw: bytes, statements: Statements, at: int) -> GerberSyntaxError:
    said = quoted(decoded(raw.strip(BLANKS)))
    if b"." in raw and _WITH_POINTS.fullmatch(raw):
        what = f"a number with a decimal point in {said}"
        hint = f"coordinates are whole numbers of the steps that FS gives: {EXPORT_AGAIN}"
        return GerberSyntaxError(what, statements.span(at), hint, MALFORMED_STATEMENT)
    return GerberSyntaxError(f"unknown statement {said}", statements.span(at), DAMAGED, UNKNOWN_STATEMENT)


def _attribute(attribute: Attribute) -> Effect:
    """What an attribute command does; one without a name says nothing."""
    kind, name = attribute.kind, attribute.name
    if kind == "TF":
        return _of_the_file(name, ",".join(attribute.values).strip())
    if kind == "TD":
        return lambda state, at: state.delete(at, name)
    if kind == "TO" and name:
        return lambda state, at: state.of_objects.attach(at, attribute)
    if kind == "TA" and name:
        return lambda state, at: state.of_apertures.attach(at, attribute)
    return _nothing


def _of_the_file(name: str, value: str) -> Effect:
    if name == ".FileFunction":
        return lambda state, at: state.name_function(at, value)
    if name == SOURCE_STEP:
        return lambda state, _at: setattr(state, "source_step_mm", source_step_mm(value))
    if name == ".FilePolarity" and value.lower() == "negative":
        return lambda state, at: state.negative_at.append(at)
    return _nothing


# ------------------------------------------------------------------------------------- extended commands


def _command(statements: Statements, at: int, raw: bytes) -> Effect:
    """What a statement between percent signs does."""
    code, text = decoded(raw[:2]), ""
    if code not in _ATTRIBUTES:  # of which a file may have hundreds of thousands
        text = _without_blanks(raw)
        code = text[:2].upper()
    if code in _ATTRIBUTES:
        return _attribute(attribute_of(decoded(raw).strip()))
    if code in _MEANINGS:
        meaning = _MEANINGS[code](statements, at, code + (text[2:] if code == "AD" else text[2:].upper()))
        return meaning if text[:2] == code else _both(_remark("a command in lower case"), meaning)
    if code in IMAGE_COMMANDS:
        return _image(statements, at, code, text[2:].upper())
    if code in _WITHOUT_EFFECT:
        return _deprecated(statements, at, text)
    if not text or _COMMENT.match(raw):
        return _nothing
    if code in _CHANGES_THE_IMAGE:
        raise _transforms_the_image(text, statements, at)
    if re.match(r"[A-Z]{2}", code):
        return lambda state, at: state.remark(unknown(code), at)
    raise _syntax(f"unknown command {quoted(text)}", statements, at, UNKNOWN_STATEMENT)


def _deprecated(statements: Statements, at: int, text: str) -> Effect:
    """What a deprecated command does that may be without effect."""
    code, values = text[:2].upper(), text[2:].upper()
    if re.fullmatch(_WITHOUT_EFFECT[code], values, re.DOTALL):
        return _remark(code)
    if code + values == "IPNEG":
        return _both(_remark(code), lambda state, at: state.negative_image_at.append(at))
    raise _transforms_the_image(text, statements, at)


def _remark(what: str) -> Effect:
    return lambda state, at: state.remark(legacy(what), at)


def _both(one: Effect, other: Effect) -> Effect:
    def effect(state: State, at: int) -> None:
        one(state, at)
        other(state, at)

    return effect


def _transforms_the_image(text: str, statements: Statements, at: int) -> GerberUnsupportedError:
    what = f"the deprecated command {quoted(text)} changes the whole image, which is not read"
    return GerberUnsupportedError(what, statements.span(at), EXPORT_AGAIN, IMAGE_TRANSFORM)


def _image(statements: Statements, at: int, code: str, values: str) -> Effect:
    change = image_change(code, values)
    if change is None:
        raise _malformed("command", code + values, statements, at)

    def effect(state: State, at: int) -> None:
        state.remark(legacy(code), at)
        state.image.append((code, change._replace(statement=at)))

    return effect


def _format(statements: Statements, at: int, text: str) -> Effect:
    found = _FORMAT.fullmatch(text)
    if not found or max(int(found[3]), int(found[4])) > _MOST_DIGITS:
        raise _malformed("coordinate format", text, statements, at)
    if (found[3], found[4]) != (found[5], found[6]):
        raise _malformed("coordinate format, which differs for x and y,", text, statements, at)
    format_ = Format(found[1], found[2] == "I", int(found[3]), int(found[4]))

    def effect(state: State, at: int) -> None:
        if state.format not in (None, format_):
            raise _syntax("the coordinate format is given twice, and differs", statements, at, CONTRADICTION)
        if state.format is None:
            state.format, state.format_at = format_, at
        if format_.omission == "T":
            state.remark(legacy("leaving out trailing zeros (FST)"), at)
        if format_.is_incremental:
            state.remark(legacy("the incremental notation (FS.I)"), at)

    return effect


def _mode(statements: Statements, at: int, text: str) -> Effect:
    if text not in ("MOMM", "MOIN"):
        raise _malformed("unit", text, statements, at)
    inches = text == "MOIN"

    def effect(state: State, at: int) -> None:
        if state.inches not in (None, inches):
            raise _syntax("the unit is given twice, and differs", statements, at, CONTRADICTION)
        if state.inches is None:
            state.inches, state.units_at = inches, at

    return effect


def _polarity(statements: Statements, at: int, text: str) -> Effect:
    if text not in ("LPD", "LPC"):
        raise _malformed("polarity", text, statements, at)
    return lambda state, at: state.polarity.append((at, text == "LPD"))


def _mirror(statements: Statements, at: int, text: str) -> Effect:
    if text[2:] not in ("N", "X", "Y", "XY"):
        raise _malformed("mirroring", text, statements, at)
    return lambda state, at: state.transform.append((at, _last(state)._replace(mirror=text[2:])))


def _rotation(statements: Statements, at: int, text: str) -> Effect:
    degrees = _number(text[2:])
    if degrees is None:
        raise _malformed("rotation", text, statements, at)
    return lambda state, at: state.transform.append((at, _last(state)._replace(degrees=degrees % 360)))


def _scaling(statements: Statements, at: int, text: str) -> Effect:
    scale = _number(text[2:])
    if scale is None or not 1 / _MOST_SCALE <= scale <= _MOST_SCALE:
        raise _malformed("scaling", text, statements, at)
    return lambda state, at: state.transform.append((at, _last(state)._replace(scale=scale)))


def _last(state: State) -> Transform:
    return state.transform[-1][1] if state.transform else Transform()


def _number(text: str) -> float | None:
    return float(text) if re.fullmatch(_NUMBER, text) else None


def _aperture(statements: Statements, at: int, text: str) -> Effect:
    found = _APERTURE.fullmatch(text)
    if not found or int(found[1]) < 10:
        raise _malformed("aperture definition", text, statements, at)
    number, template = int(found[1]), found[2]
    sizes = (found[3] or "").upper()
    if sizes and not _SIZES.fullmatch(sizes):
        raise _malformed("sizes of the aperture", text, statements, at)
    parameters = tuple(float(size) for size in sizes.split("X")) if sizes else ()

    def effect(state: State, at: int) -> None:
        known = state.macros.get(template)
        name = template if known else template.upper()
        if known is None and name not in STANDARD_TEMPLATES:
            what = f"aperture D{number} uses macro {quoted(template)}, which is not defined before it"
            raise _syntax(what, statements, at, BAD_APERTURE)
        definition = Definition(number, name, parameters, known, at)
        if number in state.blocks:
            raise _syntax(f"aperture D{number} is a block already", statements, at, CONTRADICTION)
        before = state.definitions.setdefault(number, [definition])
        if not before[-1].draws_like(definition):
            before.append(definition)
            state.remark(told(REDEFINED_APERTURE), at)
        for remark in _remarks_of(definition):
            state.remark(remark, at)

    return effect


def _remarks_of(definition: Definition) -> Iterator[Remark]:
    """What is to be told of an aperture's definition."""
    given, known = len(definition.parameters), definition.macro
    if definition.has_extra_values():
        yield told(EXTRA_VALUES)
    if known and known.lacks_rotations:
        yield told(NO_ROTATION)
    if known and known.first_set <= given:
        yield legacy("a macro variable that is set twice")
    if given == RECTANGULAR_HOLE_SIZES.get(definition.template) and not known:
        yield legacy("a rectangular hole in an aperture")


def _repeat(statements: Statements, at: int, text: str) -> Effect:
    found = _REPEAT.fullmatch(text)
    if not found:
        raise _malformed("step and repeat", text, statements, at)
    if text == "SR":
        return lambda state, at: state.brackets.append(Bracket(at, "end repeat"))
    across, up = (int(count or 1) for count in found.group(1, 2))
    step_x, step_y = (float(step or 0) for step in found.group(3, 4))
    if not across or not up:
        raise _malformed("step and repeat, which counts from 1,", text, statements, at)

    def effect(state: State, at: int) -> None:
        if state.open_blocks:
            state.remark(legacy("step and repeat within a block"), at)
        state.brackets.append(Bracket(at, "repeat", 0, across, up, step_x, step_y))

    return effect


def _block(statements: Statements, at: int, text: str) -> Effect:
    if text == "AB":
        return _end_block
    if not re.fullmatch(r"ABD\d{2,10}", text) or int(text[3:]) < 10:
        raise _malformed("block aperture", text, statements, at)
    number = int(text[3:])

    def effect(state: State, at: int) -> None:
        if number in state.definitions or number in state.blocks:
            raise _syntax(f"aperture D{number} is defined already", statements, at, CONTRADICTION)
        state.blocks[number] = at
        state.open_blocks += 1
        state.brackets.append(Bracket(at, "block", number))

    return effect


def _end_block(state: State, at: int) -> None:
    state.open_blocks -= 1
    state.brackets.append(Bracket(at, "end block"))


_MEANINGS: Final[dict[str, Callable[[Statements, int, str], Effect]]] = {
    "FS": _format,
    "MO": _mode,
    "LP": _polarity,
    "LM": _mirror,
    "LR": _rotation,
    "LS": _scaling,
    "AD": _aperture,
    "SR": _repeat,
    "AB": _block,
}
