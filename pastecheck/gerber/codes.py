"""What the reader says about a file: every error and diagnostic code, in one place, with its meaning."""

from typing import Final, NamedTuple

from pastecheck.source import DiagnosticLevel

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

ERRORS: Final[dict[str, str]] = {
    EMPTY_FILE: "the file holds nothing",
    NOT_GERBER: "the file is of another kind: a picture, an archive, a drill file, a document",
    TRUNCATED: "the file ends in the middle of a statement",
    UNKNOWN_STATEMENT: "a statement or code that the format does not know",
    MALFORMED_STATEMENT: "a statement that the format knows, with values that make no sense",
    MISPLACED_STATEMENT: "a statement where it may not stand: a flash in a region, the end of no block",
    CONTRADICTION: "unit, format, macro or block is given twice, and the two differ",
    NO_UNITS: "the file draws before it says whether it is in millimetres or inches",
    NO_FORMAT: "the file draws before it gives its coordinate format, or the format leaves zeros unclear",
    NO_OPERATION: "coordinates before any operation code (D01, D02, D03)",
    UNDEFINED_APERTURE: "something is drawn with an aperture that the file does not define, or with none",
    BAD_APERTURE: "an aperture or macro with values that make no sense",
    UNCLOSED_REGION: "a region is not ended, or a contour of it does not end where it began",
    IMPOSSIBLE_ARC: "an arc with no centre from which both its ends are equally far",
    TOO_LARGE: "the file would draw more, or farther away, than the reader allows",
    NEGATIVE_IMAGE: "the file draws what is to be left, not what is to be cut (IPNEG)",
    IMAGE_TRANSFORM: "a deprecated command with which the whole image is transformed (AS IR KO MI OF SF)",
    UNSWEEPABLE_APERTURE: "a stroke with an aperture that is not one convex piece, or an arc without a disc",
}
"""Raised: no honest reading is possible."""

DIAGNOSTICS: Final[dict[str, str]] = {
    NO_END: "the file does not say that it ends (M02); its last part may be missing",
    AFTER_END: "statements stand behind the end of the file; they are not drawn",
    LEGACY: "a construct that the specification calls deprecated or revoked; it was read as it was meant",
    MODAL_OPERATION: "coordinates without an operation code; the last operation was taken",
    NO_ARC_MODE: "arcs are drawn before G74 or G75 is given; they were read as of G75",
    UNEVEN_ARC: "an arc whose two radii differ by more than rounding; its radius was made to change evenly",
    OPEN_CONTOURS: "all contours of the file leave out their last edge; each was closed by a straight one",
    NEARLY_CLOSED: "a contour that ends beside its beginning by rounding; it was closed",
    EMPTY_CONTOUR: "a contour of a region with fewer than three corners; it has no area and was left out",
    CONTOUR_WITHOUT_MOVE: "a contour that begins without D02; it was begun at the current point",
    LATE_DEFINITION: "an aperture is defined only after it is used; that definition was taken",
    REDEFINED_APERTURE: "an aperture is defined again, and differs; each definition was taken from there on",
    EXTRA_VALUES: "an aperture or macro primitive with more values than it knows; the rest has no meaning",
}
"""Reported: an honest reading is possible, but the user should know."""

_NOTES: Final = frozenset({LEGACY, MODAL_OPERATION, NEARLY_CLOSED, CONTOUR_WITHOUT_MOVE})
"""Those without an effect on what is drawn; the others are warnings."""

DOCUMENTATION: Final[dict[str, str]] = ERRORS | DIAGNOSTICS

EXPORT_AGAIN: Final = "export the layer with current settings of the CAD program"
DAMAGED: Final = "the file is damaged here: export the layer again"


class Remark(NamedTuple):
    """What a diagnostic says. It is told once, at its first place, with a count."""

    code: str
    level: DiagnosticLevel
    text: str


def legacy(what: str) -> Remark:
    """That a construct is deprecated."""
    return Remark(LEGACY, DiagnosticLevel.NOTE, f"{what} is deprecated; it was read as it was meant")


def told(code: str) -> Remark:
    """A remark in the words of the table."""
    return Remark(
        code, DiagnosticLevel.NOTE if code in _NOTES else DiagnosticLevel.WARNING, DIAGNOSTICS[code]
    )
