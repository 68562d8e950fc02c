"""Bytes -> statements, each with its place. Knows stars and percent signs, nothing of what they enclose."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, IntArray
from pastecheck.errors import GerberSyntaxError
from pastecheck.source import Span

ByteArray = NDArray[np.uint8]

_STAR, _PERCENT, _LF, _CR, _BLANK = (np.uint8(ord(c)) for c in "*%\n\r ")

_OTHER_KINDS = (
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"PK\x03\x04", "a zip archive"),
    (b"%PDF", "a PDF document"),
    (b"<", "an XML or HTML document"),
    (b"{", "a JSON document"),
    (b"M48", "a drill file"),
    (b"solid", "a mesh"),
)
_HOW_TO_EXPORT = "give the paste layer as a Gerber file (RS-274X)"


@dataclass(frozen=True, eq=False, slots=True)
class Statements:
    """
    Statements of a file, columns of shape (n,). Text columns index `text`, the file without white space.

    `block` is 0 for a statement outside percent signs; the statements of one pair of signs share a number.
    """

    path: str
    data: bytes
    """The file as it is."""
    text: bytes
    start: IntArray
    end: IntArray
    """Where the statement's star stands."""
    block: IntArray
    blank: IntArray
    """White space: for each, how many characters of `text` stand before it."""
    line_end: IntArray
    """Offsets in `data` of the ends of lines."""

    def __len__(self) -> int:
        """Number of statements."""
        return len(self.start)

    def offset(self, of_text: IntArray) -> IntArray:
        """Offsets in `data` of characters of `text`."""
        return of_text + np.searchsorted(self.blank, of_text, side="right")

    def lines(self, statement: IntArray) -> IntArray:
        """Lines, from 1, on which statements begin."""
        return 1 + np.searchsorted(self.line_end, self.offset(self.start[statement]), side="left")

    def span(self, statement: int) -> Span:
        """Where a statement begins."""
        return self.span_of_offset(int(self.offset(self.start[statement : statement + 1])[0]))

    def span_of_offset(self, offset: int) -> Span:
        """Line and column of a byte of the file."""
        row = int(np.searchsorted(self.line_end, offset, side="left"))
        begin = int(self.line_end[row - 1]) + 1 if row else 0
        return Span(self.path, row + 1, offset - begin + 1)

    def original(self, statement: int) -> str:
        """A statement as it stands in the file, white space within it kept, without line breaks."""
        ends = np.array([self.start[statement], self.end[statement]])
        begin, end = self.offset(ends).tolist()
        return decoded(self.data[begin:end].replace(b"\r", b"").replace(b"\n", b""))


def decoded(text: bytes) -> str:
    """UTF-8, or else Latin-1, which takes any byte."""
    try:
        return text.decode("utf-8")
    except UnicodeDecodeError:
        return text.decode("latin-1")


def statements_of(data: bytes, path: str) -> Statements:
    """
    Split a file into statements.

    A percent sign counts only where a statement could begin or has just ended, so that one in a comment does
    no harm.

    Raises:
        GerberSyntaxError: If the file is empty, of another kind, or ends in the middle of a statement.
    """
    if data.startswith(b"\xef\xbb\xbf"):
        data = b"   " + data[3:]
    _refuse_other_kinds(data, path)
    every = np.frombuffer(data, np.uint8)
    blank = np.flatnonzero(every <= _BLANK)
    text = every[every > _BLANK]
    line_end = np.flatnonzero((every == _LF) | ((every == _CR) & (np.append(every[1:], 0) != _LF)))
    star = np.flatnonzero(text == _STAR)
    percent = np.flatnonzero(text == _PERCENT)
    before = text[percent - 1]
    percent = percent[(percent == 0) | (before == _STAR) | (before == _PERCENT)]
    inside = np.searchsorted(percent, star)
    start = _after_the_last(star, percent)
    found = Statements(
        path, data, text.tobytes(), start, star, np.where(inside % 2 == 1, inside, 0),
        blank - np.arange(len(blank)), line_end,
    )  # fmt: skip
    _refuse_broken_end(found, text, percent)
    return found


def plain_text(statements: Statements, wanted: BoolArray) -> ByteArray:
    """The text with everything but the wanted statements blanked out, their stars too."""
    text = np.frombuffer(statements.text, np.uint8)
    step = np.zeros(len(text) + 1, np.int8)
    step[statements.start[wanted]] += 1
    step[statements.end[wanted]] -= 1
    return np.where(np.cumsum(step[:-1], dtype=np.int8).astype(bool), text, _BLANK)


def _after_the_last(star: IntArray, percent: IntArray) -> IntArray:
    """Where each statement begins: behind the star before it, or behind the percent sign that came since."""
    start = np.concatenate([np.zeros(1, np.int64), star[:-1] + 1])[: len(star)]
    since = np.searchsorted(percent, star) - 1
    behind = np.where(since >= 0, percent[np.maximum(since, 0)] + 1, 0) if len(percent) else start
    result: IntArray = np.maximum(start, behind)
    return result


def _refuse_other_kinds(data: bytes, path: str) -> None:
    head = data.lstrip()[:1000]
    if not head:
        raise GerberSyntaxError("the file is empty", Span(path, 1, 1), "export the layer again", "empty-file")
    for mark, kind in _OTHER_KINDS:
        if head.startswith(mark):
            raise GerberSyntaxError(
                f"this is {kind}, not a layer", Span(path, 1, 1), _HOW_TO_EXPORT, "not-gerber"
            )
    if b"M48" in head[:300] and b"%FS" not in head:
        raise GerberSyntaxError(
            "this is a drill file, not a layer", Span(path, 1, 1), _HOW_TO_EXPORT, "not-gerber"
        )
    if b"*" not in data or b"\0" in head:
        raise GerberSyntaxError("this is no Gerber file", Span(path, 1, 1), _HOW_TO_EXPORT, "not-gerber")


def _refuse_broken_end(found: Statements, text: ByteArray, percent: IntArray) -> None:
    last = max(int(found.end[-1]), int(percent[-1]) if len(percent) else 0)
    if last < len(text) - 1:
        place = int(found.offset(np.array([last + 1]))[0])
        if found.text[last + 1 :].strip(b"\x1a") == b"":
            return  # an end-of-file mark of old systems
        raise GerberSyntaxError(
            "the file ends in the middle of a statement", found.span_of_offset(place),
            "the last part is missing: export the layer again", "truncated",
        )  # fmt: skip
    if len(percent) % 2:
        place = int(found.offset(percent[-1:])[0])
        raise GerberSyntaxError(
            "a '%' is opened here and never closed", found.span_of_offset(place),
            "the last part is missing, or a '%' too many: export the layer again", "truncated",
        )  # fmt: skip
