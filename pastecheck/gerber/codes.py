"""What the reader says about a file: every error and diagnostic code, in one place, with its meaning."""

from typing import Final, NamedTuple

from pastecheck.source import DiagnosticLevel, Documented

EMPTY_FILE: Final = "empty-file"
NOT_GERBER: Final = "not-gerber"
TRUNCATED: Final = "truncated"
UNKNOWN_STATEMENT: Final = "unknown-statement"
MALFORMED_STATEMENT: Final = "malformed-statement"
MISPLACED_STATEMENT: Final = "misplaced-statement"
CONTRADICTION: Final = "contradiction"
NO_UNITS: Final = "no-units"
NO_FORMAT: Final = "no-format"
NO_OPERATION: Final = "no-operation"
UNDEFINED_APERTURE: Final = "undefined-aperture"
BAD_APERTURE: Final = "bad-aperture"
UNCLOSED_REGION: Final = "unclosed-region"
IMPOSSIBLE_ARC: Final = "impossible-arc"
TOO_LARGE: Final = "too-large"
NEGATIVE_IMAGE: Final = "negative-image"
IMAGE_TRANSFORM: Final = "image-transform"
UNSWEEPABLE_APERTURE: Final = "unsweepable-aperture"

UNKNOWN_COMMAND: Final = "unknown-command"
STROKE_OF_NO_LENGTH: Final = "stroke-of-no-length"
NO_END: Final = "no-end"
AFTER_END: Final = "after-end"
LEGACY: Final = "legacy"
MODAL_OPERATION: Final = "modal-operation"
NO_ARC_MODE: Final = "no-arc-mode"
UNEVEN_ARC: Final = "uneven-arc"
OPEN_CONTOURS: Final = "open-contours"
NEARLY_CLOSED: Final = "nearly-closed"
EMPTY_CONTOUR: Final = "empty-contour"
CONTOUR_WITHOUT_MOVE: Final = "contour-without-move"
LATE_DEFINITION: Final = "late-definition"
REDEFINED_APERTURE: Final = "redefined-aperture"
EXTRA_VALUES: Final = "extra-values"
NO_ROTATION: Final = "no-rotation"
NO_REGION: Final = "no-region"
POINT_AFTER_BLOCK: Final = "point-after-block"
STRAY_CENTRE: Final = "stray-centre"
NEGATIVE_POLARITY: Final = "negative-polarity"

EXPORT_AGAIN: Final = "export the layer with current settings of the CAD program"
DAMAGED: Final = "the file is damaged here: export the layer again"

ERRORS: Final[dict[str, Documented]] = {
    EMPTY_FILE: Documented("the file holds nothing", "export the layer again"),
    NOT_GERBER: Documented(
        "the file is of another kind: a picture, an archive, a drill file, a document",
        "give the paste layer as a Gerber file (RS-274X)",
    ),
    TRUNCATED: Documented(
        "the file ends in the middle of a statement", "its last part is missing: copy or export it again"
    ),
    UNKNOWN_STATEMENT: Documented(
        "a statement or code that the format does not know, where it cannot be passed over",
        "the file is damaged, or is no layer: export the layer again",
    ),
    MALFORMED_STATEMENT: Documented(
        "a statement that the format knows, with values that make no sense", EXPORT_AGAIN
    ),
    MISPLACED_STATEMENT: Documented(
        "a statement where it may not stand: a flash in a region, the end of no block", EXPORT_AGAIN
    ),
    CONTRADICTION: Documented(
        "unit, format, macro, block or .FileFunction is given twice, and the two differ",
        "two layers may have been joined to one file: export the layer again",
    ),
    NO_UNITS: Documented(
        "the file draws before it says whether it is in millimetres or inches",
        f"both would look right and only one is: {EXPORT_AGAIN}",
    ),
    NO_FORMAT: Documented(
        "the file draws before it gives its coordinate format, or the format leaves zeros unclear",
        f"old files keep the format in a file beside them, which is not read: {EXPORT_AGAIN}",
    ),
    NO_OPERATION: Documented("coordinates before any operation code (D01, D02, D03)", EXPORT_AGAIN),
    UNDEFINED_APERTURE: Documented(
        "something is drawn with an aperture that the file does not define, or with none",
        f"old files keep apertures in a list beside them, which is not read: {EXPORT_AGAIN} (RS-274X)",
    ),
    BAD_APERTURE: Documented("an aperture or macro with values that make no sense", EXPORT_AGAIN),
    UNCLOSED_REGION: Documented(
        "a region is not ended, or a contour of it does not end where it began",
        "close the outline where it is drawn, and export the layer again",
    ),
    IMPOSSIBLE_ARC: Documented(
        "an arc with no centre from which both its ends are equally far",
        f"arcs of coarse formats may round to nonsense: {EXPORT_AGAIN}, with more decimals",
    ),
    TOO_LARGE: Documented(
        "the file is larger, or would draw more or farther away, than is read as a rule",
        "check step and repeat; if it is meant so, raise the limit that the error names: --limit NAME=NUMBER",
    ),
    NEGATIVE_IMAGE: Documented(
        "the file draws what is to be left, not what is to be cut (IPNEG)", "export a positive image"
    ),
    IMAGE_TRANSFORM: Documented(
        "a deprecated command changes the whole image in a way that readers differ about (AS IR KO MI OF SF)",
        "export the layer without mirroring, turning or scaling",
    ),
    UNSWEEPABLE_APERTURE: Documented(
        "a stroke with an aperture that is not one convex piece, or an arc without a disc: what it covers is "
        "not known exactly",
        "draw it with a round pen or as a region",
    ),
}
"""Raised: no honest reading is possible."""

_LOOK: Final = "look whether the openings are as you drew them"
_NOTHING: Final = "nothing; newer export settings would not write it"

DIAGNOSTICS: Final[dict[str, Documented]] = {
    UNKNOWN_COMMAND: Documented(
        "a command that the format does not know, between percent signs or a G or M code by itself; it was "
        "passed over, as the specification asks, but a damaged command would look the same",
        "look whether the openings are as you drew them; if in doubt, export the layer again",
    ),
    NO_END: Documented(
        "the file does not say that it ends (M02); its last part may be missing",
        "compare the number of openings with the board, or export the layer again",
    ),
    AFTER_END: Documented(
        "statements stand behind the end of the file; they are not drawn",
        "two layers may have been joined to one file: check each by itself",
    ),
    LEGACY: Documented(
        "a construct that the specification calls deprecated or revoked, or does not allow; it was read as "
        "it was meant",
        _NOTHING,
    ),
    MODAL_OPERATION: Documented(
        "coordinates without an operation code; the last operation was taken", _NOTHING
    ),
    STROKE_OF_NO_LENGTH: Documented(
        "a stroke of no length with an aperture that strokes cannot have; it was read as a flash",
        _LOOK,
    ),
    NO_ARC_MODE: Documented("arcs are drawn before G74 or G75 is given; they were read as of G75", _LOOK),
    UNEVEN_ARC: Documented(
        "an arc whose two radii differ by more than rounding; its radius was made to change evenly", _LOOK
    ),
    OPEN_CONTOURS: Documented(
        "all contours of the file leave out their last edge; each was closed by a straight one", _LOOK
    ),
    NEARLY_CLOSED: Documented(
        "a contour that ends beside its beginning by rounding; it was closed", _NOTHING
    ),
    EMPTY_CONTOUR: Documented(
        "a contour of a region with fewer than three corners; it has no area and was left out", _LOOK
    ),
    CONTOUR_WITHOUT_MOVE: Documented(
        "a contour that begins without D02; it was begun at the current point", _NOTHING
    ),
    LATE_DEFINITION: Documented(
        "an aperture is defined only after it is used; that definition was taken", _LOOK
    ),
    REDEFINED_APERTURE: Documented(
        "an aperture is defined again, and differs; each definition was taken from there on", _LOOK
    ),
    EXTRA_VALUES: Documented(
        "an aperture or macro primitive with more values than it knows; the rest has no meaning", _LOOK
    ),
    NEGATIVE_POLARITY: Documented(
        "the file calls itself negative (.FilePolarity), as if it drew where no paste goes; this attribute "
        "changes no image, so it was read as drawn",
        "look whether what is drawn are the openings; if it is the foil between, export a positive image",
    ),
    POINT_AFTER_BLOCK: Documented(
        "the first thing behind the beginning or end of a block or repeat draws from the current point, or "
        "leaves out a coordinate; no point is defined there, so the last one before it was taken",
        _LOOK,
    ),
    STRAY_CENTRE: Documented(
        "a straight stroke, a move or a flash with the centre of an arc (I, J), which was passed over; if "
        "G02 or G03 is lost, an arc was drawn as its chord",
        _LOOK,
    ),
    NO_REGION: Documented(
        "a region is ended (G37) that was not begun; if its beginning is lost, "
        "its outline was drawn as strokes",
        _LOOK,
    ),
    NO_ROTATION: Documented(
        "a macro primitive without its last value, the rotation; it was read as not turned", _LOOK
    ),
}
"""Reported: an honest reading is possible, but the user should know."""

_NOTES: Final = frozenset({LEGACY, MODAL_OPERATION, NEARLY_CLOSED, CONTOUR_WITHOUT_MOVE})
"""Those without an effect on what is drawn; the others are warnings."""

DOCUMENTATION: Final[dict[str, Documented]] = ERRORS | DIAGNOSTICS


class Remark(NamedTuple):
    """What a diagnostic says. It is told once, at its first place, with a count."""

    code: str
    level: DiagnosticLevel
    text: str


def legacy(what: str) -> Remark:
    """That a construct is deprecated; the text is only what it is, for all of a file are told together."""
    return Remark(LEGACY, DiagnosticLevel.NOTE, what)


def unknown(code: str) -> Remark:
    """That a command was passed over."""
    what = f"the unknown command {code} was passed over; if it is a damaged one, something is not as drawn"
    return Remark(UNKNOWN_COMMAND, DiagnosticLevel.WARNING, what)


def told(code: str) -> Remark:
    """A remark in the words of the table."""
    return Remark(
        code, DiagnosticLevel.NOTE if code in _NOTES else DiagnosticLevel.WARNING, DIAGNOSTICS[code].means
    )
