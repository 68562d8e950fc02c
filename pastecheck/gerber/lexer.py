"""Bytes -> statements, each with its place. Knows stars and percent signs, nothing of what they enclose."""

import re
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, IntArray
from pastecheck.errors import GerberSyntaxError, GerberUnsupportedError
from pastecheck.gerber.codes import EMPTY_FILE, NOT_GERBER, TOO_LARGE, TRUNCATED
from pastecheck.limits import how_to_raise
from pastecheck.source import Span

ByteArray = NDArray[np.uint8]

BLANKS: Final = b" \t\n\v\f\r"
_STAR, _PERCENT, _LF, _CR, _SPACE = (np.uint8(ord(c)) for c in "*%\n\r ")
_IS_BLANK = np.zeros(256, bool)
_IS_BLANK[list(BLANKS)] = True
_BYTE_ORDER_MARK: Final = b"\xef\xbb\xbf"
_PADDING: Final = b"\x1a\0"
"""What old systems put behind the end of a file, and punched tapes before its beginning."""

_END: Final = re.compile(rb"(?:\A|[*%])M0*[02]\*%?\Z", re.IGNORECASE)
_END_WITHOUT_STAR: Final = re.compile(rb"M0*[02]", re.IGNORECASE)

_OTHER_KINDS: Final = (
    (re.compile(rb"\x89PNG"), "a PNG picture"),
    (re.compile(rb"\xff\xd8\xff"), "a JPEG picture"),
    (re.compile(rb"GIF8"), "a GIF picture"),
    (re.compile(rb"BM.{4}\0\0\0\0", re.DOTALL), "a BMP picture"),
    (re.compile(rb"II\*\0|MM\0\*"), "a TIFF picture"),
    (re.compile(rb"PK\x03\x04|PK\x05\x06"), "a zip archive"),
    (re.compile(rb"\x1f\x8b|7z\xbc\xaf|Rar!"), "an archive"),
    (re.compile(rb"%PDF"), "a PDF document"),
    (re.compile(rb"%!PS"), "a PostScript document"),
    (re.compile(rb"\xff\xfe|\xfe\xff"), "a text in UTF-16"),
    (re.compile(rb"<"), "an XML or HTML document"),
    (re.compile(rb"[{\[]"), "a JSON document"),
    (re.compile(rb"\([a-z_]+\s"), "a document of S-expressions"),
    (re.compile(rb"solid\b"), "a mesh"),
    (re.compile(rb"0\s+SECTION\b"), "a DXF drawing"),
    (re.compile(rb"(;[^\n]*\s+)*(M48|%?\s*T\d+(F\d+)?(S\d+)?C[\d.]+)", re.IGNORECASE), "a drill file"),
)
_HOW_TO_EXPORT: Final = "give the paste layer as a Gerber file (RS-274X)"


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
    run: IntArray
    """For each run of white space: how many characters of `text` stand before it."""
    blanks: IntArray
    """How much white space there is before each run, and in all. One longer than `run`."""
    line_end: IntArray
    """Offsets in `data` of the ends of lines."""

    def __len__(self) -> int:
        """Number of statements."""
        return len(self.start)

    @property
    def tail(self) -> bytes:
        """What stands behind the last star and percent sign, but for what old systems put there."""
        behind = self.text[int(self.end[-1]) + 1 :] if len(self.end) else self.text
        return behind.lstrip(b"%")

    def offset(self, of_text: IntArray) -> IntArray:
        """Offsets in `data` of characters of `text`."""
        before: IntArray = self.blanks[np.searchsorted(self.run, of_text, side="right")]
        return of_text + before

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


def decoded(text: bytes) -> str:
    """UTF-8, or else Latin-1, which takes any byte."""
    try:
        return text.decode("utf-8")
    except UnicodeDecodeError:
        return text.decode("latin-1")


def statements_of(data: bytes, path: str, most: int) -> Statements:
    """
    Split a file into statements.

    A percent sign counts only where a statement could begin or has just ended, so that one in a comment does
    no harm.

    Args:
        data: The file.
        path: Its name, as errors show it.
        most: How many statements are read at most; each may stand between percent signs of its own.

    Raises:
        GerberSyntaxError: If the file is empty, of another kind, or ends in the middle of a statement.
        GerberUnsupportedError: If it has too many statements.
    """
    data = _without_padding(data)
    _refuse_other_kinds(data, path)
    _refuse_too_many(data, path, most)
    every = np.frombuffer(data, np.uint8)
    is_blank = _IS_BLANK[every]
    run, blanks = _runs_of(is_blank)
    text = every[~is_blank]
    line_end = _ends_of_lines(every)
    star = np.flatnonzero(text == _STAR)
    percent = _counting_percent_signs(text)
    inside = np.searchsorted(percent, star)
    found = Statements(
        path,
        data,
        text.tobytes(),
        _after_the_last(star, percent),
        star,
        np.where(inside % 2 == 1, inside, 0),
        run,
        blanks,
        line_end,
    )
    _refuse_broken_end(found, percent)
    return found


def _without_padding(data: bytes) -> bytes:
    """The file with blanks in place of what is no text before it and behind it, so that places keep."""
    if data.startswith(_BYTE_ORDER_MARK):
        data = b" " * len(_BYTE_ORDER_MARK) + data[len(_BYTE_ORDER_MARK) :]
    end = len(data.rstrip(_PADDING + BLANKS))
    begin = len(data) - len(data.lstrip(b"\0" + BLANKS))
    if not (data[:begin].strip(BLANKS) or data[end:].strip(BLANKS)):
        return data
    return b" " * begin + data[begin:end] + b" " * (len(data) - end) if begin < end else b""


def _runs_of(is_blank: BoolArray) -> tuple[IntArray, IntArray]:
    """Columns `run` and `blanks` of `Statements`."""
    other = ~is_blank
    begins, ends = is_blank.copy(), is_blank.copy()
    begins[1:] &= other[:-1]
    ends[:-1] &= other[1:]
    run, blanks = np.flatnonzero(begins), np.zeros(np.count_nonzero(begins) + 1, np.int64)
    blanks[1:] = np.flatnonzero(ends)
    blanks[1:] += 1 - run  # how much white space each run has
    np.cumsum(blanks, out=blanks)
    run -= blanks[:-1]
    return run, blanks


def plain_text(statements: Statements, wanted: BoolArray) -> ByteArray:
    """The text with everything but the wanted statements blanked out, their stars too."""
    text = np.frombuffer(statements.text, np.uint8)
    step = np.zeros(len(text) + 1, np.int8)
    step[statements.start[wanted]] += 1
    step[statements.end[wanted]] -= 1
    return np.where(np.cumsum(step[:-1], dtype=np.int8).astype(bool), text, _SPACE)


def _ends_of_lines(every: ByteArray) -> IntArray:
    """Line feeds, and carriage returns without one."""
    ends, returns = every == _LF, np.flatnonzero(every == _CR)
    following = every[np.minimum(returns + 1, len(every) - 1)]
    ends[returns[following != _LF]] = True
    return np.flatnonzero(ends)


def _counting_percent_signs(text: ByteArray) -> IntArray:
    """Percent signs at the very beginning, behind a star, or behind one that counts."""
    percent = np.flatnonzero(text == _PERCENT)
    begins_run = np.diff(percent, prepend=-2) > 1
    counts = begins_run & ((percent == 0) | (text[percent - 1] == _STAR))
    run = np.cumsum(begins_run) - 1
    return percent[counts[np.flatnonzero(begins_run)][run]] if len(percent) else percent


def _after_the_last(star: IntArray, percent: IntArray) -> IntArray:
    """Where each statement begins: behind the star before it, or behind the percent sign that came since."""
    start = np.concatenate([np.zeros(1, np.int64), star[:-1] + 1])[: len(star)]
    if not len(percent):
        return start
    since = np.searchsorted(percent, star) - 1
    behind: IntArray = np.where(since >= 0, percent[np.maximum(since, 0)] + 1, 0)
    return np.where(behind > start, behind, start)


_LOOKS_LIKE_LAYER: Final = re.compile(rb"%\s*[A-Z]{2}|(?:^|[*\s\d])[GDMXY]\d+\s*\*", re.IGNORECASE)
"""An extended command, or the end of a word: a file without either is no layer, damaged or not."""


def _refuse_too_many(data: bytes, path: str, most: int) -> None:
    count = max(data.count(b"*"), data.count(b"%") // 2)
    if count > most:
        what = f"the file has {count} statements; at most {most} are read"
        raise GerberUnsupportedError(what, Span(path, 1, 1), how_to_raise("statements", count), TOO_LARGE)


def _refuse_other_kinds(data: bytes, path: str) -> None:
    head = data[:100_000].lstrip(BLANKS)[:1000] or data.strip(BLANKS)[:1000]
    if not head:
        raise GerberSyntaxError("the file is empty", Span(path, 1, 1), "export the layer again", EMPTY_FILE)
    kind = next((kind for mark, kind in _OTHER_KINDS if mark.match(head)), None)
    if kind is None and b"*" not in data:
        kind = "no Gerber file: it holds no '*'"
    elif kind is None and b"\0" in head:
        kind = "a binary file"
    elif kind is None and not _LOOKS_LIKE_LAYER.search(data):
        kind = "no Gerber file: it holds no command of one"
    if kind:
        what = f"this is {kind}, not a layer" if not kind.startswith("no ") else f"this is {kind}"
        raise GerberSyntaxError(what, Span(path, 1, 1), _HOW_TO_EXPORT, NOT_GERBER)


def _refuse_broken_end(found: Statements, percent: IntArray) -> None:
    last = max(int(found.end[-1]), int(percent[-1]) if len(percent) else 0)
    is_ended = _END.search(found.text, max(last - 9, 0), last + 1) is not None
    if found.tail and not is_ended and not _END_WITHOUT_STAR.fullmatch(found.tail):
        what, place = "the file ends in the middle of a statement", last + 1
    elif len(percent) % 2 and not (is_ended and percent[-1] == last):
        what, place = "a '%' is opened here and never closed", int(percent[-1])
    else:
        return
    span = found.span_of_offset(int(found.offset(np.array([place]))[0]))
    raise GerberSyntaxError(what, span, "the last part is missing: export the layer again", TRUNCATED)
