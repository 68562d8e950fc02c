"""What the reader says about a file: every diagnostic and error code, in one place, with its meaning."""

from typing import Final

DOCUMENTATION: Final[dict[str, str]] = {
    # raised: no honest reading is possible
    "gerber-syntax": "a statement that the format does not know, or that is malformed",
    "gerber-unsupported": "a statement that is understood, but whose image cannot be measured honestly",
    "empty-file": "the file holds nothing",
    "not-gerber": "the file is of another kind: a picture, an archive, a drill file, a document",
    "no-units": "the file draws before it says whether it is in millimetres or inches",
    "no-format": "the file draws before it gives its coordinate format",
    "undefined-aperture": "something is drawn with an aperture that the file does not define, or with none",
    "unclosed-region": "a contour of a region does not end where it began",
    "truncated": "the file ends in the middle of a statement",
    "too-large": "the file would draw more than the reader allows",
    # reported: an honest reading is possible
    "no-end": "the file does not say that it ends (M02); the last part may be missing",
    "after-end": "statements stand behind the end of the file; they are not drawn",
    "legacy": "a construct that the specification calls deprecated; it was read as it was meant",
    "modal-operation": "coordinates without an operation code; the last operation was taken",
    "uneven-arc": "an arc whose two radii differ by more than rounding; its radius was made to change evenly",
    "open-contours": "all contours of the file leave out their last edge; each was closed by a straight one",
    "nearly-closed": "a contour that ends beside its beginning by rounding; it was closed",
}
